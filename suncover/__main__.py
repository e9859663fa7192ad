"""`python -m suncover`."""

from suncover.cli import main

if __name__ == "__main__":
    main()
