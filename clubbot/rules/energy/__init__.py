"""How full each battery is, how long a full one lasts, and when which one is charged.

What is assumed before a club has said anything stands in `assumed`; `belief` follows one battery
through what happened to it; `curve` is how long a charge takes; `plan` puts charges into the hours
in which an adult is there; `storage` keeps batteries alive through breaks.
"""
