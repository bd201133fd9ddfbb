"""The subcommands of `python -m loading.planner`: the only part of the planner that does I/O."""
