"""The mean of two files of weights of one network.

    python3 mix.py BEFORE AFTER SHARE OUT

SHARE, 0 to 1, is how far AFTER counts. Weights that were learned on from others lie
close enough to them for what is between to work as well, and often better on what
neither was shown.
"""

import sys
from pathlib import Path

from learn import save, weights_in


def main():
    before, after, share, out = sys.argv[1:]
    before, after, share = weights_in(before), weights_in(after), float(share)
    save(Path(out), {name: (1 - share) * value + share * after[name] for name, value in before.items()})


if __name__ == "__main__":
    main()
