#!/bin/sh
# Double-click (macOS) or run: starts Lane Ledger, as "python3 -m app serve" and "python3 -m app demo" do. Finds a Python; all
# else is Python's. If macOS refuses because the file came from the internet: README, "Try it".
cd "$(dirname "$0")" || exit 1
if [ ! -f app/__main__.py ]; then
    echo "This file stands alone. Unpack all of Lane Ledger first, then start it there."
    exit 1
fi

# Without the developers' tools a Mac's own python3 is no Python: it only offers to fetch them.
is_a_stand_in() {
    [ "$(uname)" = Darwin ] && [ "$(command -v "$1")" = /usr/bin/python3 ] && ! xcode-select -p >/dev/null 2>&1
}

# What a Mac's usual installers add to the path is not there yet in a session that began before them.
[ "$(uname)" = Darwin ] && PATH="$PATH:/opt/homebrew/bin:/usr/local/bin"
for python in python3 python3.14 python3.13 python3.12 python3.11; do
    if ! is_a_stand_in "$python" && "$python" -c "" >/dev/null 2>&1; then
        exec "$python" -m app start
    fi
done
echo "This computer has no Python yet. Install the 64-bit Python 3.13 from python.org, then start this file again."
exit 1
