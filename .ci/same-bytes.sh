#!/usr/bin/env bash
# Holds what two builds of the program make of the demo farm against each other, file by file and line by
# line: PROGRAM here, and PROGRAM.exe by Wine.
#     bash .ci/same-bytes.sh PROGRAM PROGRAM.exe
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
root=$PWD
here=$(realpath "$1") there=$(realpath "$2")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Every command of the program once, in the folder that it is run in.
season() {
    run plan demo-farm/farm.toml --also png --also gpkg
    for job in home-lane pond-quarter creek-bottom; do
        run plan "demo-farm/$job.toml" --out alone --also taskdata
        run inspect "plans/$job"
        run inspect "alone/$job/taskdata.zip"
    done
    run land demo-farm/pond-quarter.toml --out landed
    run pile demo-farm/pond-quarter.toml --out pile
    run spreader demo-farm/spreader/machine.toml --totals plans/pond-quarter/totals.json --out setup \
        --log constants.csv --weigh demo-farm/spreader/weigh-tests.csv
    run pans demo-farm/spreader/pans-before.csv demo-farm/spreader/pans-after.csv --out pans
    run pans compare demo-farm/spreader/pans-before.csv demo-farm/spreader/pans-after.csv
    run reconcile plans/home-lane plans/pond-quarter plans/creek-bottom \
        --tickets demo-farm/season/tickets.csv --left 'home-lane=1.2 ton' --left 'pond-quarter=1.2 ton' \
        --left 'creek-bottom=1.2 ton' --applied demo-farm/season/pond-quarter-applied.csv \
        --rate 'rate (ton/ac)' --machine demo-farm/spreader/machine.toml --season season.csv
    run start demo-farm/home-lane/boundary.shp demo-farm/home-lane/samples.csv --out home.toml
    run start machine new-machine.toml
    run help-files
    # What is at fault: the same words, and the same code.
    run plan none.toml
    run plan demo-farm/home-lane.toml --out aux
    printf "boundary = 'demo-farm\\\\home-lane\\\\boundary.shp'\nsamples = 'none\\\\samples.csv'\n" >bad.toml
    run plan bad.toml
    run inspect demo-farm/home-lane/boundary.shp
}

# Runs the program, and notes what it says.
run() {
    { echo "\$ $*"; "${program[@]}" "$@" 2>&1 || echo "code $?"; } >>said.txt
}

# Wine says what it does when it starts for the first time.
xtask/wine "$there" --version >/dev/null 2>&1
for system in here there; do
    mkdir "$work/$system"
    cp -r demo-farm "$work/$system/demo-farm"
done
program=("$here")
(cd "$work/here" && season)
program=("$root/xtask/wine" "$there")
(cd "$work/there" && season)
# Programs and their messages on Windows end lines as here; the locks are no output.
find "$work" -name '*.lock' -delete
test -e "$work/here/plans/home-lane/zones.gpkg" -a -e "$work/here/season.csv"
diff -r "$work/here" "$work/there"
echo "$(find "$work/here" -type f | wc -l) files and $(wc -l <"$work/here/said.txt") lines are the same"
