#!/bin/sh
# The Debian package: what make deb builds holds all in Debian's places and says what it needs.
build=$1
. "$(dirname "$0")/lib.sh"

# From what the suite has compiled already: it is the package that is looked at here.
mkdir -p "$home/deb/build"
(cd "$build" && cp -a --parents gen ./*.o ./*/*.o "$home/deb/build")
package=$(src/app/debian/package.sh "$home/deb" 2>"$home/errors")
ok "the package is built" $?
[ ! -s "$home/errors" ] || sed 's/^/# /' "$home/errors"
version=$("$program" --version)
[ "moonstand $(dpkg-deb -f "$package" Version)" = "$version" ]
ok "its version is the program's" $?
dpkg-deb -f "$package" Depends | grep -q 'libc6 (>= [0-9.]*), .*libcjson1 (>= [0-9.]*).*, tzdata'
ok "it depends on the libraries and the zone files" $?
dpkg-deb -x "$package" "$home/root"
cd "$home/root" || exit 1
find . -type f | sort >"$home/files"
cat >"$home/wanted" <<'EOF'
./usr/bin/moonstand
./usr/share/applications/moonstand.desktop
./usr/share/bash-completion/completions/moonstand
./usr/share/doc/moonstand/changelog.gz
./usr/share/doc/moonstand/copyright
./usr/share/man/man1/moonstand.1.gz
./usr/share/moonstand/themes/blue-orange.json
./usr/share/moonstand/themes/daylight.json
./usr/share/moonstand/themes/plain.json
./usr/share/moonstand/themes/red.json
./usr/share/zsh/vendor-completions/_moonstand
EOF
cmp "$home/files" "$home/wanted" >&2
ok "each file is in Debian's place, and no other" $?
[ "$(clean_env usr/bin/moonstand --version)" = "$version" ]
ok "the packaged program runs" $?
grep -q /usr/share/moonstand/themes usr/bin/moonstand && ! grep -q /usr/local usr/bin/moonstand
ok "it looks for its themes where the package has them" $?
gzip -dc usr/share/man/man1/moonstand.1.gz | grep -q /usr/share/moonstand/themes
ok "the manual page says the same" $?
dpkg-deb --ctrl-tarfile "$package" | tar -xO ./md5sums | md5sum --check --quiet
ok "the sums of its files are right" $?
finish
