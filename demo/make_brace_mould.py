"""Write the mould of the demo's right thigh brace: ``python demo/make_brace_mould.py OUT.stl``.

Its formula is `bagside.demo_shop.brace_mould`.
"""

from __future__ import annotations

import sys
from pathlib import Path

from bagside.demo_shop.brace_mould import written

if __name__ == "__main__":
    written(Path(sys.argv[1]))
