#!/bin/sh
# make install puts program, themes, manual, completions and desktop entry in their places, from which they
# work; make uninstall removes them.
build=$1
. "$(dirname "$0")/lib.sh"

share=$home/root/usr/local/share
quiet_make() { make -s BUILD="$build" DESTDIR="$home/root" "$@" >/dev/null 2>&1; }

quiet_make install
ok "make install into DESTDIR" $?
[ -x "$home/root/usr/local/bin/moonstand" ] && [ -f "$share/moonstand/themes/red.json" ]
ok "program and themes are in their places" $?
clean_env "$home/root/usr/local/bin/moonstand" --version >"$home/out"
grep -q '^moonstand [0-9]' "$home/out"
ok "the installed program runs" $?
man=$(mandoc -T ascii "$share/man/man1/moonstand.1" | sed 's/.\x08//g')
echo "$man" | grep -q ' /usr/local/share/moonstand/themes'
ok "the manual page tells where the themes are" $?
bash -c '. "$1" && complete -p moonstand' bash "$share/bash-completion/completions/moonstand" >/dev/null
ok "bash takes its completion" $?
zsh -f -c 'fpath=("$1" $fpath) && autoload -Uz compinit && compinit -D -u && [[ $_comps[moonstand] = _moonstand ]]' \
    zsh "$share/zsh/site-functions" >/dev/null 2>&1
ok "zsh takes its completion" $?
desktop-file-validate "$share/applications/moonstand.desktop"
ok "the desktop entry is valid" $?
quiet_make uninstall
[ -z "$(find "$home/root" -type f)" ]
ok "make uninstall leaves no file" $?
finish
