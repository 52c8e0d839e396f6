"""The shell: the command line. A command is parse → call → answer; what it decides, the layers above decide."""
