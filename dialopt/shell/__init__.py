"""The shell: the command line."""
