#!/bin/sh
# Copies the data of a running service into a file: backup.sh [FILE]
# Without FILE a file named after the time is written to the current folder; with - it goes to the standard output.
# The service runs on meanwhile, and the file holds its state of one moment. See database.sh for which database.
set -eu
umask 077
# shellcheck source-path=SCRIPTDIR source=database.sh
. "$(dirname "$0")/database.sh"

file=${1:-boutdesk-$(date +%Y-%m-%d-%H%M%S).backup}
dump() {
    pg_dump --format=custom --schema=boutdesk --no-owner --no-privileges "$@"
}

if [ "$file" = - ]; then
    dump
else
    # Only a whole backup gets the name.
    trap 'rm -f "$file.unfinished"' EXIT
    dump --file="$file.unfinished"
    mv "$file.unfinished" "$file"
    echo "Backed up to $file"
fi
