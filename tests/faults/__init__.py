"""What goes wrong around a program: it is killed, its disk is full, its file is damaged. Nothing may be lost."""
