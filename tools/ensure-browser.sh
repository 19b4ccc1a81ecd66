#!/usr/bin/env bash
# The browser tests drive the system's own Chromium. Where it is missing it is installed; where
# that cannot be done this fails: a skipped browser test would be a check that cannot fail.
set -euo pipefail
if command -v chromium >/dev/null || command -v chromium-browser >/dev/null || command -v google-chrome >/dev/null; then
  exit 0
fi
if ! command -v apt-get >/dev/null; then
  echo "The tests need Chromium. Install it with this system's package manager, then run make test again." >&2
  exit 1
fi
run=()
if [ "$(id -u)" -ne 0 ]; then run=(sudo); fi
"${run[@]}" apt-get -o DPkg::Lock::Timeout=600 -qq update
"${run[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -o DPkg::Lock::Timeout=600 -qq install -y --no-install-recommends chromium fonts-dejavu-core >/dev/null
command -v chromium >/dev/null
