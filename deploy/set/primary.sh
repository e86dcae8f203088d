#!/bin/bash
# Run once by the postgres image, when the volume of the primary is made: a role for the standby, its slot, and the rule that
# what is acknowledged is on both. That rule is not an option of the server, since the server that fills the volume would
# wait for a standby too.
set -euo pipefail

psql --set=ON_ERROR_STOP=1 --set=password="$REPLICATION_PASSWORD" --username="$POSTGRES_USER" --dbname="$POSTGRES_DB" <<'SQL'
create role replicator login replication password :'password';
select pg_create_physical_replication_slot('standby', true);
alter system set synchronous_standby_names = 'ANY 1 (standby)';
SQL

echo "host replication replicator all scram-sha-256" >> "$PGDATA/pg_hba.conf"
