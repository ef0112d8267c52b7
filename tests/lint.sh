#!/bin/sh
# The floors of the house, held by a program: includes, undefined symbols of the pure rooms, banned calls,
# the names at the top level.
# usage: tests/lint.sh BUILD   (objects of the pure rooms are built there)
set -u
build=$1
bad=0

say() {
    echo "lint: $1"
    bad=1
}

rooms_below() {
    case $1 in
    base) echo base ;;
    sky) echo base sky ;;
    eclipse) echo base sky eclipse ;;
    photo) echo base sky eclipse photo ;;
    field) echo base sky eclipse photo field ;;
    eye) echo base sky eclipse photo field eye ;;
    night) echo base sky eclipse photo field eye night ;;
    words) echo base sky eclipse photo field eye night words ;;
    app) echo base sky eclipse photo field eye night words store devices report screen ;;
    *) echo base sky eclipse photo field eye night words "$1" ;;
    esac
}

# The first word of a public header is the room that it belongs to: NAME ROOM.
rooms='base sky eclipse photo field eye night words store devices report screen app'
list=$(mktemp)
trap 'rm -f "$list" "$list".*' EXIT
awk 'FNR == 1 { name = FILENAME; sub(/.*\//, "", name); sub(/\.h$/, "", name)
    print name, $0 ~ /^\/\* [a-z]+:/ ? substr($2, 1, index($2, ":") - 1) : "none" }' \
    include/moonstand/*.h >"$list.rooms"
while read -r name room; do
    case " $rooms " in
    *" $room "*) ;;
    *) say "include/moonstand/$name.h: its first word names no room" ;;
    esac
done <"$list.rooms"
for room in $rooms; do
    echo "$room $(rooms_below $room)"
done >"$list.floors"
awk '
    FILENAME ~ /\.floors$/ { for (i = 2; i <= NF; i++) may[$1, $i] = 1; next }
    FILENAME ~ /\.rooms$/ { room_of[$1] = $2; next }
    FNR == 1 { split(FILENAME, part, "/"); name = part[3]; sub(/\.h$/, "", name)
        room = part[1] == "src" ? part[2] : room_of[name] }
    /^#include <moonstand\/[a-z0-9_]*\.h>/ {
        other = $2; sub(/^<moonstand\//, "", other); sub(/\.h>.*/, "", other)
        if (!((room, room_of[other]) in may))
            print FILENAME ": room " room " may not include " other ".h"
    }' "$list.floors" "$list.rooms" src/*/*.[ch] include/moonstand/*.h >"$list.bad"
while read -r line; do
    say "$line"
done <"$list.bad"

# No name has two meanings: neither sources nor headers, private ones included.
for kind in c h; do
    twice=$(ls src/*/*.$kind include/moonstand/*.$kind 2>/dev/null | sed 's|.*/||' | sort | uniq -d)
    [ -z "$twice" ] || say "two files are called" $twice
done

outside() { # pattern, what, files...
    pattern=$1
    what=$2
    shift 2
    found=$(grep -lE "$pattern" "$@" 2>/dev/null)
    [ -z "$found" ] || say "$what: $found"
}
outside '#include <(n?curses|gps|cjson/|cJSON|time|sys/time|locale|unistd|fcntl|pthread)' \
    'a pure room includes the outside world' \
    src/base/*.[ch] src/sky/*.[ch] src/eclipse/*.[ch] src/photo/*.[ch] src/field/*.[ch] src/eye/*.[ch] src/night/*.[ch] src/words/*.[ch]
outside '#include <erfa' 'liberfa is for base and sky' \
    $(ls src/*/*.[ch] include/moonstand/*.h | grep -v -e '^src/base/' -e '^src/sky/')
outside 'cjson/|cJSON\.h' 'cJSON is for store and report' \
    $(ls src/*/*.[ch] include/moonstand/*.h | grep -v -e '^src/store/' -e '^src/report/')
outside 'curses\.h' 'curses is for term.c' $(ls src/*/*.[ch] include/moonstand/*.h | grep -v '^src/screen/term.c$')
outside '#include <gps\.h>' 'libgps is for devices' $(ls src/*/*.[ch] include/moonstand/*.h | grep -v '^src/devices/')
outside '#include <jpeglib' 'libjpeg is for jpeg.c of app' $(ls src/*/*.[ch] include/moonstand/*.h | grep -v '^src/app/jpeg.c$')
outside '(^|[^a-z_])(sprintf|vsprintf|strcpy|strcat|strncpy|strncat|gets|atoi|atol|atof|strtok|localtime|gmtime|signal|usleep|system)[ ]*\(' \
    'a banned call' src/*/*.[ch]

# What the pure objects leave open must be theirs, liberfa's (base, sky) or on this list.
libc='sin cos tan asin acos atan atan2 sincos sqrt hypot pow exp exp10 exp2 log log10 log2 floor ceil round fmod fabs lround lrint cbrt fmin fmax erf
memcpy memset memmove memcmp memchr strlen strcmp strncmp strchr strrchr strstr strspn strcspn strpbrk snprintf vsnprintf strtod
qsort bsearch malloc calloc realloc free madvise toupper tolower __ctype_b_loc __ctype_toupper_loc __ctype_tolower_loc __isoc99_strtod
__stack_chk_fail _GLOBAL_OFFSET_TABLE_ __memcpy_chk __snprintf_chk __vsnprintf_chk __assert_fail nextafter trunc isnan'
# Division of 64-bit integers on 32-bit machines, from the compiler's own library.
libc="$libc __divdi3 __moddi3 __divmoddi4 __udivdi3 __umoddi3 __udivmoddi4"
printf '%s\n' $libc >"$list"
for room in base sky eclipse photo field eye night words; do
    [ ! -e "$build/$room.o" ] || nm -A "$build/$room.o"
done >"$list.symbols"
awk -v build="$build/" '
    FILENAME !~ /\.symbols$/ { known[$1] = 1; next }
    { object = $1; sub(/:.*/, "", object); kind = $(NF - 1); symbol = $NF }
    kind ~ /^[TDBRCV]$/ { known[symbol] = 1 }
    kind ~ /^[Uvw]$/ { left[object " " symbol] = 1 }
    END {
        for (one in left) {
            split(one, part, " ")
            room = substr(part[1], length(build) + 1); sub(/\.o$/, "", room)
            if (part[2] ~ /^era/ && room != "base" && room != "sky")
                print part[1] ": " part[2] " is liberfa\047s"
            if (part[2] !~ /^era/ && !(part[2] in known))
                print part[1] ": " part[2] " is not on the list of a pure room"
        }
    }' "$list" "$list.symbols" >"$list.bad"
while read -r line; do
    say "$line"
done <"$list.bad"

# What the program loads at its start costs memory and time: nothing may come in behind our back.
for library in $(readelf -d "$build/moonstand" 2>/dev/null | sed -n 's/.*(NEEDED).*\[\(.*\)\]/\1/p'); do
    case $library in
    libcjson.so.* | libm.so.* | libc.so.* | ld-linux* | lib*san.so.*) ;;
    *) say "$build/moonstand loads $library" ;;
    esac
done

# A check value that names nobody cannot be checked again.
for file in tests/data/*; do
    head -n 1 "$file" | grep -q '^# Source: ' || say "$file: its first line has no '# Source: ...'"
done
for file in $(grep -rliE 'common +practice' --include='*.[ch]' src include tests); do
    # Comments are read as one line, so that the words may be parted by its end.
    sed 's|^ *[/#]*\*\{0,1\} *||' "$file" | tr '\n' ' ' | grep -oiE 'common +practice[^.]{0,60}' |
        grep -qivE '^common +practice( of surveyors)?,? *no +source' && say "$file: 'common practice' without 'no source'"
done

tracked=$(git ls-files 2>/dev/null || ls -A)
for name in $(printf '%s\n' "$tracked" | cut -d/ -f1 | sort -u); do
    case $name in
    README.md | DEVELOPERS.md | Makefile | src | include | tests | themes | LICENSE | .* | build) ;;
    *) say "top level: $name" ;;
    esac
done

[ "$bad" -eq 0 ] && echo "lint: clean"
exit "$bad"
