#!/bin/sh
# Loads a page in Chromium: nothing on its console, no access to any network, and paper of size A4. Where there is no
# Chromium it ends with 77, which ctest tells as skipped. Usage: browser_test.sh SETTLE
set -eu
settle=$1
examples=$(cd "$(dirname "$0")/../../examples" && pwd)
browser=$(command -v chromium || command -v chromium-browser || true)
if [ -z "$browser" ]; then
  echo "skipped: there is no Chromium here (Debian package chromium)"
  exit 77
fi
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
# Not every machine lets a browser start (memory, name spaces): an empty page tells.
if ! HOME=$folder timeout 60 "$browser" --headless=new --no-sandbox --disable-gpu --user-data-dir="$folder/profile" \
  --print-to-pdf="$folder/empty.pdf" about:blank >/dev/null 2>&1; then
  echo "skipped: Chromium does not start here"
  exit 77
fi
"$settle" report "$examples/lever_latch.gates" -o "$folder/page.html"
HOME=$folder timeout 120 "$browser" --headless=new --no-sandbox --disable-gpu --disable-background-networking --disable-component-update \
  --no-first-run --host-resolver-rules='MAP * ~NOTFOUND' --user-data-dir="$folder/profile" --enable-logging=stderr --log-net-log="$folder/net.json" \
  --no-pdf-header-footer --print-to-pdf="$folder/page.pdf" "file://$folder/page.html" 2>"$folder/log" || {
  cat "$folder/log"
  exit 1
}
if grep CONSOLE "$folder/log"; then
  echo "the page writes to the console"
  exit 1
fi
# Requests of a page from a file have the origin "null"; those of the browser itself have none.
if grep -o '"initiator":"null"' "$folder/net.json"; then
  echo "the page loads something"
  exit 1
fi
if ! grep -a -q '/MediaBox *\[0 0 59[45][.0-9]* 84[12][.0-9]*\]' "$folder/page.pdf"; then
  echo "the paper is not A4:"
  grep -a -o '/MediaBox *\[[^]]*\]' "$folder/page.pdf" | sort | uniq -c
  exit 1
fi
