"""An invented club, its week, and the loopback stand-in for Telegram's servers."""
