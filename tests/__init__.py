"""What clubbot promises, checked; the folders mirror clubbot/."""
