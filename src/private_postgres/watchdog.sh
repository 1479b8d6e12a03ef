# Runs a server for as long as somebody holds the other end of standard input.
# Arguments: a folder to remove after an orderly end (or nothing), the socket's
# folder to remove after any end (or nothing), the server's program, its arguments.
umask 077
# The one who started us decides when it ends, not a terminal.
trap '' HUP INT TERM
removed=$1
sockets=$2
shift 2
exec 3<&0 </dev/null
"$@" 3<&- &
server=$!
(
    while read -r _ <&3; do :; done
    # Asked again and again, since a server that has only just begun ignores it.
    signal=INT
    asked=0
    while kill -s "$signal" "$server"; do
        asked=$((asked + 1))
        [ "$asked" -lt 30 ] || signal=QUIT
        sleep 1
    done
) 2>/dev/null &
ender=$!
exec 3<&-
wait "$server"
ended=$?
kill -s KILL "$ender"
wait "$ender"
[ -z "$sockets" ] || rm -rf -- "$sockets"
# After a bad end its log is still to be read.
[ -z "$removed" ] || [ "$ended" -ne 0 ] || rm -rf -- "$removed"
exit "$ended"
