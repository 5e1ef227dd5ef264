# SPDX-License-Identifier: Apache-2.0
# Completes lielow's commands, options and file names for bash, by helpers of the package
# bash-completion, so it isn't for zsh. What there is to complete is read from the
# program's own help, so it can't fall behind.
_lielow() {
    local cur prev words cword
    _init_completion || return

    local program=${words[0]} command='' word i
    local commands
    commands=$("$program" --help 2>/dev/null | sed -n '/^Subcommands:/,$p' | sed -n 's/^  \([a-z]*\) .*/\1/p')
    for ((i = 1; i < cword; i++)); do
        for word in $commands; do
            [[ ${words[i]} == "$word" ]] && command=$word && break 2
        done
    done

    if [[ $prev == --only && -n $command ]]; then
        local parts
        parts=$("$program" "$command" --help 2>/dev/null | sed -n 's/^ *--only \([^ ]*\).*/\1/p')
        mapfile -t COMPREPLY < <(compgen -W "${parts//,/ }" -- "$cur")
    elif [[ $prev == --out || $prev == --reuse ]]; then
        _filedir -d
    elif [[ $prev == --site || $prev == --night ]]; then
        _filedir toml
    elif [[ $cur == -* ]]; then
        mapfile -t COMPREPLY < <(compgen -W "$(_parse_help "$program" "$command --help") --quiet --threads" -- "$cur")
    elif [[ -z $command ]]; then
        mapfile -t COMPREPLY < <(compgen -W "$commands" -- "$cur")
    elif [[ $command == batch ]]; then
        _filedir csv
    elif [[ $command == wide ]]; then
        _filedir
    elif [[ $command == example ]]; then
        _filedir -d
    else
        _filedir toml
    fi
} && complete -F _lielow lielow
