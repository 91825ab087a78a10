from clubbot.cli import main

main()
