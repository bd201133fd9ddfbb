"""The subcommands of `python -m jobs.scheduling`."""
