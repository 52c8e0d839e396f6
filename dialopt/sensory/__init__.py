"""Blind tests: designs, exact p-values, serving orders."""
