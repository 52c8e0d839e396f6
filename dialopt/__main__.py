"""`python -m dialopt`."""

from dialopt.shell.main import run

if __name__ == "__main__":
    run()
