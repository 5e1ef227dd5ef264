#!/usr/bin/env bash
# SPDX-License-Identifier: Apache-2.0
# The manual pages and the completion of the shell: use: check_shell_help.sh PROGRAM SOURCE-FOLDER
set -euo pipefail
program=$1
source=$2
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT

fail() {
    echo "$*" >&2
    exit 1
}

# Every command has its page, and groff has nothing to say against any of them.
"$source/tools/man/pages" "$program" "$folder/man"
"$source/tools/man/pages" "$program" "$folder/again"
diff -r "$folder/man" "$folder/again" || fail "two builds give two different pages"
commands=$("$program" --help | sed -n '/^Subcommands:/,$p' | sed -n 's/^  \([a-z]*\) .*/\1/p')
[[ $(wc -w <<<"$commands") -ge 4 ]] || fail "no commands found in the help: $commands"
for command in $commands; do
    [[ -s $folder/man/lielow-$command.1 ]] || fail "no page for $command"
done
for page in "$folder"/man/*.1; do
    complaints=$(groff -man -ww -z -Tutf8 "$page" 2>&1)
    [[ -z $complaints ]] || fail "$page: $complaints"
    name=$(basename "$page" .1)
    grep -q "^.TH ${name^^} " "$page" || fail "$page: no title"
done
grep -q 'EXIT STATUS' "$folder/man/lielow.1" || fail "lielow.1 has no exit status"
if grep -q 'libraries.*[0-9]\.[0-9]\.[0-9]' "$folder/man/lielow.1"; then fail "lielow.1 tells the libraries' versions"; fi

# What bash offers for a line that is being typed; the last word is the one to complete.
mkdir "$folder/bin"
ln -s "$program" "$folder/bin/lielow"
touch "$folder/farm.toml" "$folder/farm.csv"
offers() {
    (
        cd "$folder"
        PATH=$folder/bin:$PATH bash -c '
            set +eu
            source /usr/share/bash-completion/bash_completion
            source "$1/tools/man/completion.bash"
            shift
            COMP_WORDS=("$@")
            COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
            COMP_LINE="$*"
            COMP_POINT=${#COMP_LINE}
            _lielow
            printf "%s\n" "${COMPREPLY[@]}"' _ "$source" "$@"
    )
}
expect() {  # WANTED LINE...
    local wanted=$1 got
    shift
    got=$(offers "$@" | sort | tr '\n' ' ')
    [[ " $got" == *" $wanted "* ]] || fail "'$*' offers '$got' without $wanted"
}
expect run lielow ru
expect check lielow ''
expect --out lielow run --o
expect --only lielow run --on
expect --threads lielow --th
expect --explain lielow check farm.toml --
expect farm.toml lielow run ''
expect water lielow run farm.toml --only w
expect night_low lielow wide farm.tif --only ni
expect farm.toml lielow wide farm.tif --night ''
[[ $(offers lielow run '') != *farm.csv* ]] || fail "run takes no CSV file"
