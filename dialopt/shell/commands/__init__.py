"""The commands, a file for each noun. Each parses, calls and answers; what it answers is decided elsewhere."""
