"""``python -m bagside`` is the same as ``bagside``."""

from bagside.start import main

if __name__ == "__main__":
    main()
