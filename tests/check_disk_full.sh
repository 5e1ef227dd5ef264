#!/bin/bash
# SPDX-License-Identifier: Apache-2.0
# Writes results where they don't fit, at many sizes of "too small": each time either everything is there and whole, or one
# line says why and nothing stands under a final name.
# usage: check_disk_full.sh PATH/results_sample
set -u
sample=$1
side=150
dir=$(mktemp -d)
mounted=
finish() {
    [ -z "$mounted" ] || umount "$dir/disk"
    rm -rf "$dir"
}
trap finish EXIT
failures=0
complain() {
    echo "FAILED: $*"
    failures=$((failures + 1))
}

"$sample" "$dir/whole" $side || { echo "the sample itself fails"; exit 1; }
whole_kib=$(du -sk --apparent-size "$dir/whole" | cut -f1)

# judge STATUS OUT WHAT: after one try
judge() {
    local lines names
    lines=$(wc -l <"$dir/stderr")
    if [ "$1" = 0 ]; then
        diff -r "$dir/whole" "$2" >/dev/null || complain "$3: said done, but the files are not whole"
        [ "$lines" = 0 ] || complain "$3: chatter on stderr: $(cat "$dir/stderr")"
        fits=$((fits + 1))
    else
        [ "$1" = 1 ] || [ "$1" = 2 ] || complain "$3: exit $1"
        [ "$lines" = 1 ] || complain "$3: $lines lines on stderr: $(cat "$dir/stderr")"
        names=$(find "$2" -mindepth 1 2>/dev/null | tr '\n' ' ')
        [ -z "$names" ] || complain "$3: left behind $names"
        cat "$dir/stderr" >>"$dir/lines"
        refusals=$((refusals + 1))
    fi
}

# report WHAT: the tries of one way
report() {
    echo "$1: $refusals refusals, $fits fits; their lines:"
    LC_ALL=C sort "$dir/lines" | uniq -c
    if [ "$refusals" -lt 10 ] || [ "$fits" -lt 1 ]; then complain "$1: the sizes tried don't span the results"; fi
}

# 1. A real disk, too small. Steps of a page, because a lost tail may be shorter than that.
mkdir "$dir/disk"
if mount -t tmpfs -o size=64k lielow-test "$dir/disk" 2>"$dir/why"; then
    mounted=yes
    refusals=0
    fits=0
    : >"$dir/lines"
    for kib in $(seq 4 8 $((whole_kib + 120))); do
        mount -o "remount,size=${kib}k" "$dir/disk"
        "$sample" "$dir/disk/out" $side 2>"$dir/stderr"
        judge $? "$dir/disk/out" "tmpfs of $kib KiB"
        rm -rf "$dir/disk/out"
    done
    report "small disk"
    grep -q "the disk is full" "$dir/lines" || complain "no line names the full disk"
    [ "$(grep -vc 'the disk is full\|No space left on device' "$dir/lines")" = 0 ] || complain "a line doesn't name the full disk"
else
    echo "small disk: not tried, a tmpfs can't be mounted here ($(cat "$dir/why"))"
fi

# 2. A limit on the size of any one file, which needs no rights.
refusals=0
fits=0
: >"$dir/lines"
for kib in $(seq 4 4 "$whole_kib"); do
    (
        trap '' XFSZ
        ulimit -f "$kib"
        exec "$sample" "$dir/limited" $side
    ) 2>"$dir/raw"
    status=$?
    cp "$dir/raw" "$dir/stderr"
    judge $status "$dir/limited" "file limit of $kib KiB"
    rm -rf "$dir/limited"
done
report "file limit"
[ $failures = 0 ] && echo "every try ended whole or clean"
[ $failures = 0 ]
