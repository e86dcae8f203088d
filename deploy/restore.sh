#!/bin/sh
# Puts a backup into the database of a fresh service: restore.sh FILE
# It is refused if the database holds anything that happened, and it is done as a whole or not at all. Restart the
# service afterwards. See database.sh for which database.
set -eu
[ $# -eq 1 ] || { echo "Say which file: restore.sh FILE" >&2; exit 2; }
# shellcheck source-path=SCRIPTDIR source=database.sh
. "$(dirname "$0")/database.sh"

script=$(mktemp)
trap 'rm -f "$script"' EXIT
pg_restore --no-owner --no-privileges --file="$script" "$1" || fail "$1 is not a whole backup. Nothing was changed."

# A fresh service has made its empty tables already; they go. Locked first, so that nothing happens between look and drop.
# shellcheck disable=SC2016 # The dollars are SQL's quotes.
make_room='DO $$
BEGIN
    SET LOCAL lock_timeout = 10000;
    IF to_regclass($q$boutdesk.mt_events$q$) IS NOT NULL THEN
        LOCK TABLE boutdesk.mt_events;
        IF EXISTS (SELECT FROM boutdesk.mt_events) THEN
            RAISE EXCEPTION $q$This database has a tournament already. Restore into a fresh one.$q$;
        END IF;
        DROP SCHEMA boutdesk CASCADE;
    END IF;
END $$'
sql() {
    psql --no-psqlrc --quiet --tuples-only --no-align --set=ON_ERROR_STOP=1 "$@"
}
PGOPTIONS="${PGOPTIONS:-} -c client_min_messages=warning"
export PGOPTIONS
sql --single-transaction --command="$make_room" --file="$script" >/dev/null || fail "Nothing was changed."

echo "Restored $(sql --command='SELECT count(*) FROM boutdesk.mt_events') events of $(sql --command='SELECT count(*) FROM boutdesk.mt_doc_tournament') tournaments. Restart the service now; what it logs about its feed until then does not matter."
