#!/bin/sh
# Builds the Debian package OUT/moonstand_VERSION_ARCHITECTURE.deb and prints its path; needs dpkg-dev.
# usage: src/app/debian/package.sh OUT
set -eu
out=$1
root=$out/root
templates=src/app/debian
version=$(sed -n 's/^#define MOONSTAND_VERSION "\(.*\)"/\1/p' src/app/app.h)
architecture=$(dpkg --print-architecture)

flags() { dpkg-buildflags --get "$1"; }

rm -rf "$root"
# Debian's zsh looks for completions of packages in a folder of their own.
make -s BUILD="$out/build" CFLAGS="$(flags CPPFLAGS) $(flags CFLAGS)" LDFLAGS="$(flags LDFLAGS)" \
    PREFIX=/usr DESTDIR="$root" FOR_ZSH=zsh/vendor-completions/_moonstand install >&2
strip --remove-section=.comment --remove-section=.note "$root/usr/bin/moonstand"

# dpkg-shlibdeps reads the libraries' packages off the program; it wants a source's control file where it runs.
mkdir -p "$out/debian" "$root/DEBIAN" "$root/usr/share/doc/moonstand"
printf 'Source: moonstand\n\nPackage: moonstand\nArchitecture: any\n' >"$out/debian/control"
depends=$(cd "$out" && dpkg-shlibdeps -O root/usr/bin/moonstand | sed -n 's/^shlibs:Depends=//p')

filled() {
    sed -e "s/@VERSION@/$version/" -e "s/@ARCHITECTURE@/$architecture/" -e "s/@DEPENDS@/$depends/" \
        -e "s/@SIZE@/$(du -ks "$root/usr" | cut -f 1)/" -e "s/@DATE@/$(LC_ALL=C date -R -r src/app/app.h)/" "$1"
}
filled "$templates/changelog" | gzip -9n >"$root/usr/share/doc/moonstand/changelog.gz"
gzip -9n "$root/usr/share/man/man1/moonstand.1"
# Five libraries are linked into the program: what their licences ask for.
cat LICENSE /usr/share/doc/liberfa-dev/copyright /usr/share/doc/libgps-dev/copyright \
    /usr/share/doc/libutf8proc-dev/copyright /usr/share/doc/libjpeg62-turbo-dev/copyright \
    /usr/share/doc/libncurses-dev/copyright >"$root/usr/share/doc/moonstand/copyright"
filled "$templates/control" >"$root/DEBIAN/control"
(cd "$root" && find usr -type f -exec md5sum {} +) >"$root/DEBIAN/md5sums"

package=$out/moonstand_${version}_$architecture.deb
dpkg-deb --root-owner-group --build "$root" "$package" >&2
echo "$package"
