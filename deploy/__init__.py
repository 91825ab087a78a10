"""How clubbot gets onto a machine: for developers (bootstrap) and for good (unit, container)."""
