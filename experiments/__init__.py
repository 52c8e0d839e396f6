"""Simulated bags of coffee, and a harness that measures methods on them. Uses the package as any user would."""
