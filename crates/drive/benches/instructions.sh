#!/bin/sh
# Instructions a pixel of the colour path and the mapping, counted by callgrind (Debian's valgrind): runs of some frames
# and of twice as many, subtracted, so that what is done once does not count. The same program gives the same count.
set -eu
cd "$(dirname "$0")/../../.."
bench=$(cargo bench -p glowloom-drive --bench path --no-run --message-format=json 2>/dev/null |
    sed -n 's/.*"executable":"\([^"]*\/path-[^"]*\)".*/\1/p' | tail -n 1)
out=$(mktemp)
trap 'rm -f "$out"' EXIT

count() {
    valgrind --tool=callgrind --callgrind-out-file="$out" "$bench" count "$@" >/dev/null 2>&1
    sed -n 's/^summary: \([0-9]*\).*/\1/p' "$out"
}

each() {
    few=$(count "$1" "$2" "$3" "$4")
    many=$(count "$1" "$2" "$3" $(($4 * 2)))
    awk "BEGIN { printf \"%d x %d: %.1f instructions a pixel\\n\", $1, $2, ($many - $few) / ($4 * $1 * $2) }"
}

each 60 30 3 64
each 400 250 20 4
