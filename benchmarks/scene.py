"""A surface on a page: how long until it is seen, what a pointer costs, how fast it turns, with software graphics."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

STAND = Path(__file__).parent.parent / "tests" / "web" / "scenestand.py"
FLAGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--no-first-run"]  # fmt: skip
TREE = """async (address) => {
  const { Tree, unpacked } = await import("bagside-scene");
  const began = performance.now();
  const buffer = await (await fetch(address)).arrayBuffer();
  const mesh = await unpacked(buffer);
  const read = performance.now();
  const tree = new Tree(mesh.positions, mesh.triangles);
  const built = performance.now();
  const way = [0.1, 0.3, -0.95];
  let met = 0;
  const rays = 2000;
  for (let k = 0; k < rays; k++) {
    const x = -190 + (380 * (k % 50)) / 49, y = -140 + (280 * Math.floor(k / 50)) / 39;
    if (tree.met([x - 100 * way[0], y - 100 * way[1], -100 * way[2]], way)) met++;
  }
  const cast = performance.now();
  let plain = 0;
  const all = new Tree(mesh.positions, mesh.triangles, Infinity);
  for (let k = 0; k < 20; k++) {
    const from = performance.now();
    all.met([k, k, 100], way);
    plain += performance.now() - from;
  }
  return { bytes: buffer.byteLength, read: read - began, build: built - read, ray: (cast - built) / rays,
           plain: plain / 20, met: met / rays };
}"""


def seen(page: Page, address: str, query: str) -> float:
    """Return the time from asking for the page to the surface being drawn [s]."""
    before = len(told(page, address))
    began = time.perf_counter()
    page.goto(f"{address}/{query}")
    while len(told(page, address)) == before:
        page.wait_for_timeout(20)
    return time.perf_counter() - began


def told(page: Page, address: str) -> list[Any]:
    return [item for item in page.request.get(f"{address}/told").json() if item[0] == "ready"]


def turned(page: Page, *, finely: bool = False, frames: int = 20) -> float:
    """Return the median time of a frame while the surface turns [s]; finely: each frame as fine as at rest."""
    return float(
        page.evaluate(
            """async ([frames, finely]) => {
      const drawn = window.getElement(document.querySelector(".bg-mesh").id.slice(1)).stage.is;
      drawn.pace.held = finely ? 0 : undefined;
      const stage = document.querySelector(".bg-stage");
      const box = stage.getBoundingClientRect();
      const send = (type, x) => stage.dispatchEvent(new PointerEvent(type, { pointerId: 1, clientX: box.left + x,
        clientY: box.top + 250, button: 0, bubbles: true }));
      stage.setPointerCapture = () => {};
      send("pointerdown", 300);
      const took = [];
      for (let k = 0; k < frames; k++) {
        const from = performance.now();
        send("pointermove", 310 + 6 * k);
        await new Promise(requestAnimationFrame);
        const gl = stage.querySelector("canvas").getContext("webgl2");
        gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
        took.push(performance.now() - from);
      }
      send("pointerup", 0);
      drawn.pace.held = undefined;
      await new Promise((done) => setTimeout(done, 600));
      return took.sort((a, b) => a - b)[frames >> 1] / 1000;
    }""",
            [frames, finely],
        )
    )


def both(page: Page, times: int = 3) -> tuple[float, float]:
    """Return the least medians of frames drawn finely and as a hand is given them, taken in turn [s]."""
    pairs = [(turned(page, finely=True), turned(page)) for _ in range(times)]
    return min(fine for fine, _ in pairs), min(plain for _, plain in pairs)


def run() -> None:
    """Print the table."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = subprocess.Popen([sys.executable, str(STAND), str(port)])
    address = f"http://127.0.0.1:{port}"
    try:
        while socket.socket().connect_ex(("127.0.0.1", port)):
            time.sleep(0.1)
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
            page = browser.new_page(viewport={"width": 1440, "height": 900})
            for query, n in (("?n=41", 41), ("?n=160", 160)):
                first = seen(page, address, query)
                again = seen(page, address, query)
                surface = told(page, address)[-1][2]
                fine, plain = both(page)
                cost = page.evaluate(TREE, f"{address}/mesh/{n}")
                print(
                    f"  {2 * (n - 1) ** 2:6d} triangles, {cost['bytes'] / 1e6:.2f} MB: page {first:.2f} s, again "
                    f"{again:.2f} s, the surface of it {surface:.2f} s"
                )
                print(
                    f"         turning {1e3 * plain:.0f} ms a frame, {plain / fine:.2f} of one drawn as at rest "
                    f"({1e3 * fine:.0f} ms)"
                )
                print(
                    f"         tree {cost['build']:.0f} ms, a ray {1e3 * cost['ray']:.0f} µs ({cost['met']:.0%} met), "
                    f"without the tree {1e3 * cost['plain']:.0f} µs"
                )
            browser.close()
    finally:
        server.kill()
        server.wait()


if __name__ == "__main__":
    run()
