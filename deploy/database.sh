# Read by backup.sh and restore.sh: finds the database of the service as the service itself does, and names it to
# PostgreSQL's programs in their environment variables (PGHOST and so on).
#   ConnectionStrings__BoutDesk   a server of its own, in the words of the service's configuration
#   PGDATABASE                    a server of its own, in the words of PostgreSQL; the other PG... variables go with it
#   BoutDesk__DataFolder          the private PostgreSQL with its data there; with none of the three, where it is by default
#   BoutDesk__PostgresBinaries    the folder of pg_dump, pg_restore and psql, if they are not on the PATH
# shellcheck shell=sh

fail() {
    printf '%s\n' "$*" >&2
    exit 1
}

# Sets a variable of libpq to the value that the connection string has for one of the names (lower case, no spaces), if any.
take() {
    variable=$1
    shift
    value=$(printf '%s' "$ConnectionStrings__BoutDesk" | awk -v RS=';' -v names=" $* " '
        {
            at = index($0, "=")
            name = tolower(substr($0, 1, at - 1))
            gsub(/[[:space:]]/, "", name)
            if (at > 1 && index(names, " " name " ")) {
                value = substr($0, at + 1)
                gsub(/^[[:space:]]+|[[:space:]]+$/, "", value)
            }
        }
        END { print value }')
    [ -z "$value" ] || export "$variable=$value"
}

use_connection_string() {
    case $ConnectionStrings__BoutDesk in
        *[\"\']*) fail "ConnectionStrings__BoutDesk has a quoted value, which this script does not read. Unset it here and set PGHOST, PGPORT, PGDATABASE, PGUSER and PGPASSWORD instead." ;;
    esac
    take PGHOST host server
    take PGPORT port
    take PGUSER username userid user uid
    take PGDATABASE database db
    take PGPASSWORD password pwd psw
    take PGSSLMODE sslmode
    take PGSSLROOTCERT rootcertificate
    case ${PGSSLMODE:-} in
        [Vv]erify[Cc][Aa]) PGSSLMODE=verify-ca ;;
        [Vv]erify[Ff]ull) PGSSLMODE=verify-full ;;
        ?*) PGSSLMODE=$(printf '%s' "$PGSSLMODE" | tr '[:upper:]' '[:lower:]') ;;
    esac
}

use_private() {
    if [ -n "${BoutDesk__DataFolder:-}" ]; then
        folder=$BoutDesk__DataFolder
    elif [ "$(uname)" = Darwin ]; then
        folder="$HOME/Library/Application Support/boutdesk"
    elif [ "$(id -u)" -eq 0 ]; then
        folder=/var/lib/boutdesk
    else
        folder=${XDG_DATA_HOME:-$HOME/.local/share}/boutdesk
    fi
    [ -d "$folder" ] || fail "There is no data folder $folder. Set BoutDesk__DataFolder to the one that the service uses."
    [ -r "$folder/password" ] || fail "The file $folder/password is not there or not readable. Run this as the user of the service, or as root."
    [ -r "$folder/port" ] || fail "The file $folder/port is missing. Start the service once."
    PGHOST=127.0.0.1
    PGPORT=$(cat "$folder/port")
    PGUSER=boutdesk
    PGDATABASE=boutdesk
    PGPASSWORD=$(cat "$folder/password")
    PGSSLMODE=disable
    export PGHOST PGPORT PGUSER PGDATABASE PGPASSWORD PGSSLMODE
}

if [ -n "${BoutDesk__PostgresBinaries:-}" ]; then
    PATH=$BoutDesk__PostgresBinaries:$PATH
fi
for program in pg_isready pg_dump pg_restore psql; do
    command -v "$program" >/dev/null || fail "There is no $program. Install the client programs of PostgreSQL (Debian: postgresql-client), or set BoutDesk__PostgresBinaries to their folder."
done
if [ -n "${ConnectionStrings__BoutDesk:-}" ]; then
    use_connection_string
elif [ -z "${PGDATABASE:-}" ]; then
    use_private
fi
pg_isready --quiet || fail "PostgreSQL does not answer at ${PGHOST:-this machine}, port ${PGPORT:-5432}. The private one runs while the service runs, so start the service."
