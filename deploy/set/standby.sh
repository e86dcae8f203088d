#!/bin/bash
# The standby of compose.set.yml: copies the primary when it has nothing yet, and then follows it. After it was promoted it is
# a primary, and this starts it as such.
set -euo pipefail

if [ ! -s "$PGDATA/PG_VERSION" ]; then
    # What an earlier copy left that was broken off.
    rm -rf "$PGDATA"
    export PGPASSWORD="$REPLICATION_PASSWORD"
    until pg_basebackup --pgdata="$PGDATA" --host=primary --username=replicator --slot=standby --checkpoint=fast --write-recovery-conf; do
        rm -rf "$PGDATA"
        echo "The primary cannot be copied yet; trying again." >&2
        sleep 5
    done
fi

# The name by which the primary knows whom it waits for.
exec postgres -c cluster_name=standby "$@"
