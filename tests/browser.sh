#!/bin/sh
# A browser for the tests of the pages: the machine's own, else Debian's when root may install it, else Playwright's.
# Without one the tests that need it are skipped, and each says so.
python=$1
for name in chromium chromium-browser google-chrome; do
  command -v "$name" >/dev/null && exit 0
done
if [ "$(id -u)" -eq 0 ] && command -v apt-get >/dev/null; then
  export DEBIAN_FRONTEND=noninteractive
  apt-get update -q && apt-get install -q -y --no-install-recommends chromium && exit 0
fi
"$python" -m playwright install chromium && exit 0
echo "no browser could be installed: tests that need one are skipped" >&2
