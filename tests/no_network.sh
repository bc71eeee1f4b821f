#!/usr/bin/env bash
# The program opens no socket: every one of its commands, as `--help` lists them, under a trace of the system calls that
# reach a network. Needs strace and perl. Usage: tests/no_network.sh PROGRAM
set -euo pipefail

program=$(realpath "${1:?usage: tests/no_network.sh PROGRAM}")
examples=$(realpath "$(dirname "$0")/../examples")
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch"

# Runs a command and keeps, in `calls`, each call by which it or a child of it could reach a network. io_uring could open
# a socket without any of the others.
trace() {
    strace -f -qq -e trace=%network,io_uring_setup -o "$scratch/trace" "$@" </dev/null >"$scratch/said" 2>&1
}
calls() {
    # `???( <detached ...>` is no call: a thread was let go of as its process ended, outside any call that is watched.
    grep -vE '^[0-9]+ +(\+\+\+|---|\?\?\?\( <detached)' "$scratch/trace" || true
}

# Without these a trace that sees nothing would prove nothing. Nobody has to answer: to ask is enough.
trace bash -c '(exec 3<>/dev/tcp/127.0.0.1/9) & wait' || true
calls | grep -q 'socket(AF_INET' || { echo "the trace does not see a child open a socket: it proves nothing"; exit 1; }
trace perl -e 'syscall(425, 1, 0)' || true # io_uring_setup, the same number on all of Linux
calls | grep -q 'io_uring_setup(' || { echo "the trace does not see io_uring_setup: it proves nothing"; exit 1; }

# The commands of a command, as its help lists them; none if it has none.
commands() {
    "$program" "$@" --help | sed -n '/^Commands:$/,/^$/s/^  \([a-z-]\+\).*/\1/p' | grep -vx help || true
}

cp "$examples"/*.yaml "$examples"/*.csv .
"$program" new boat.yaml --boat Tansy >/dev/null
mkdir fleet
cp smallest.yaml fleet/one.yaml
cp smallest.yaml fleet/two.yaml

# Runs of each command, a line each; a path to what it does that another might not take.
runs_of() {
    case "$1" in
    build)
        echo "build --example"
        echo "build"
        echo "build full.yaml --png --svg-text live --out full"
        echo "build fleet --printer office --readings printers.yaml --out fleet-out"
        echo "build boat.yaml --on-save"
        ;;
    check)
        echo "check --example"
        echo "check"
        echo "check imperial.yaml --json"
        echo "check fleet"
        ;;
    show)
        echo "show full.yaml --wind 13 --below 4"
        echo "show --example --wind 13"
        ;;
    explain)
        echo "explain j1-upwind full.yaml"
        echo "explain j1-upwind --example"
        ;;
    due) echo "due boat.yaml" ;;
    reissue) echo "reissue boat.yaml --date 2027-05-01" ;;
    "sail add") echo "sail add boat.yaml --id j9 --kind headsail --wind 20..34" ;;
    "sailed add")
        echo "sailed add j1-upwind 12 backstay=2 fast --book full.yaml"
        echo "sailed add jib-upwind 10 fast --book boat.yaml --time-zone Europe/London"
        ;;
    "sailed adopt")
        echo "sailed adopt j1-upwind 12 backstay=3 --book full.yaml --dry-run"
        echo "sailed adopt j1-upwind 10 jib_halyard=3 --book full.yaml"
        ;;
    "sailed compare") echo "sailed compare --book full.yaml --log full-log.csv --out season" ;;
    "sailed plan") echo "sailed plan --book full.yaml --out plan" ;;
    "sailed blank") echo "sailed blank --book full.yaml --out blank" ;;
    strip)
        for kind in pdf svg png; do echo "strip --marks 0..8 --spacing 20mm --output outhaul.$kind"; done
        ;;
    "printer page") echo "printer page --output page.pdf" ;;
    "printer set") echo "printer set office --across 179.4 --along 250.9 --readings printers.yaml" ;;
    "printer list")
        echo "printer list"
        echo "printer list --readings printers.yaml"
        ;;
    table)
        echo "table j1-upwind full.yaml -o j1.xlsx"
        echo "table j1-upwind full.yaml -o j1.csv"
        ;;
    new) echo "new another.yaml" ;;
    schema) echo "schema" ;;
    manuals) echo "manuals manuals" ;;
    completions) for shell in bash elvish fish powershell zsh; do echo "completions $shell"; done ;;
    *)
        echo "the command '$1' is not tried: add it to $0" >&2
        return 1
        ;;
    esac
}

all=()
while read -r command; do
    mapfile -t below < <(commands "$command")
    if ((${#below[@]})); then all+=("${below[@]/#/$command }"); else all+=("$command"); fi
done < <(commands)
((${#all[@]} >= 10)) || { echo "only ${#all[@]} commands found in the help: ${all[*]}"; exit 1; }

tried=0
assert_no_calls() {
    if [[ -n $(calls) ]]; then
        echo "cockpit-cards $1 reaches for a network:"
        calls
        exit 1
    fi
    tried=$((tried + 1))
}

# Not even the system's list of users is asked, on many systems through a socket, for where home is.
(unset HOME && trace "$program" printer list) || true
assert_no_calls "printer list, without HOME"

# The build for a printer needs its reading.
"$program" printer set office --across 179.4 --along 250.9 --readings printers.yaml >/dev/null
for command in "${all[@]}"; do
    runs=$(runs_of "$command")
    while read -r run; do
        code=0
        # shellcheck disable=SC2086 # words of a command line
        case "$run" in
        # It goes on until it is interrupted. What the desktop opens, with --open, is not ours.
        *--on-save*) trace timeout --preserve-status --signal INT 5 "$program" $run || code=$? ;;
        *) trace "$program" $run || code=$? ;;
        esac
        # `due` says with 3 that something is due.
        if ((code != 0)) && [[ $command != due || $code != 3 ]]; then
            echo "cockpit-cards $run: exit code $code"
            cat "$scratch/said"
            exit 1
        fi
        assert_no_calls "$run"
    done <<<"$runs"
done
echo "no socket in $tried runs of ${#all[@]} commands"
