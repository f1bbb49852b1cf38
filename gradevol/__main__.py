"""`python -m gradevol`."""

from gradevol.cli import main

if __name__ == "__main__":
    main()
