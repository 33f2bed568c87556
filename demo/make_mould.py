"""Write the demo's mould: ``python demo/make_mould.py OUT.stl``; its formula is `bagside.demo_shop.lid_mould`."""

from __future__ import annotations

import sys

from bagside.demo_shop.lid_mould import main

if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
