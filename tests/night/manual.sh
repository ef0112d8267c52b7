#!/bin/sh
# The manual page is well formed and leaves nothing out: keys of the setup, members of JSON (its lists of
# commands, options and keys of the dashboard: tests/app/test_tables.c). The completions of both shells offer what
# each command takes, and nothing else.
build=$1
. "$(dirname "$0")/lib.sh"

page=src/app/moonstand.1
mandoc -T lint "$page" >"$home/lint" 2>&1
ok "mandoc finds nothing to say" $?
sed 's/^/#  /' "$home/lint"
mandoc -T ascii -O width=1000 "$page" | sed 's/.\x08//g' >"$home/page"

# has_all WHAT: every line of $home/words stands in the page as a word of its own.
has_all() {
    missing=$(awk 'NR == FNR { page = page "\n" $0; next } page !~ ("[^a-zA-Z_-]" $0 "([^a-zA-Z_-]|$)")' \
        "$home/page" "$home/words")
    [ -s "$home/words" ] && [ -z "$missing" ]
    ok "the page names $1" $?
    [ -z "$missing" ] || echo "#  missing:" $missing
}
sed -n '/CAUTIONS/,$p' "$home/page" | tr -s ' \n' ' ' >"$home/cautions"
missing=$(while read -r words; do
    grep -qF -- "$words" "$home/cautions" || echo "$words"
done <<EOF
Local rules
licensed
near the Sun
Cold, ice, cables and tripod legs
Roads and edges in the dark
Ask before you stand on somebody's ground
outdoor-rated, residual-current-protected
Never leave a heater that is on alone
Do not charge lithium cells below 0 C
contacts covered
Power banks fail in the cold
Too tired to drive: sleep first
EOF
)
[ -z "$missing" ]
ok "one block has every caution" $?
[ -z "$missing" ] || echo "#  missing: $missing"
commands=$(clean_env "$program" --complete "" | cut -d: -f1)
# "KEY LEAST to MOST", as tests/store/test_setup_keys.c has them from the tables.
cut -d' ' -f1 tests/prints/setup-keys.txt >"$home/words"
has_all "every key of setup and forecast"
# The paragraph of a number's key names its range.
mandoc -T ascii -O width=1000 "$page" | sed 's/.\x08//g' | awk -v RS= '{ gsub(/[ \n]+/, " "); print }' >"$home/paragraphs"
grep ' to ' tests/prints/setup-keys.txt >"$home/ranges"
missing=$(awk 'NR == FNR { paragraph[++paragraphs] = " " $0 " "; next }
    {
        range = $0
        sub(/^[^ ]* /, "", range)
        for (i = paragraphs; i > 0; i--)
            if (paragraph[i] ~ ("[^a-z_]" $1 "[^a-z_]") && paragraph[i] ~ ("[^0-9.]" range "[^0-9]"))
                next
        print $0 ";"
    }' "$home/paragraphs" "$home/ranges")
[ "$(wc -l <"$home/ranges")" -gt 40 ] && [ -z "$missing" ]
ok "the page has the range of every number of the setup" $?
[ -z "$missing" ] || echo "#  missing:" $missing
# Members of JSON: those of every document that the program's printers make in their tests, and of a look.
for test in now kit nights sites session compare prints; do
    PRINTS=$home/prints "$build/tests/report/test_$test" >/dev/null 2>"$home/err" || sed 's/^/#  /' "$home/err"
done
"$build/tests/eye/table" "$home/moon.jpg"
clean_env "$program" look --json "$home/moon.jpg" tests/fuzz/corpus/metadata/raw.cr2 >>"$home/prints"
grep -oE '"[a-z_0-9]+":' "$home/prints" | tr -d '":' | sort -u >"$home/words"
[ "$(wc -l <"$home/words")" -gt 300 ] || : >"$home/words"
has_all "every member of JSON"

# What both shells offer is what the program answers them; that it takes each is seen by giving it.
mkdir "$home/bin" && ln -s "$program" "$home/bin/moonstand"
PATH=$home/bin:$PATH
offered_by_bash() { # WORDS...
    clean_env bash -c '. src/app/completion.bash
        COMP_WORDS=(moonstand "$@") COMP_CWORD=$#
        _moonstand
        printf "%s\n" "${COMPREPLY[@]}"' bash "$@"
}
offered_by_zsh() {
    clean_env zsh -f -c '_describe() { print -l -- ${(P)2%%:*} }; _files() { print -l -- FILES }; compset() { : }
        words=(moonstand "$@") CURRENT=$#words
        functions[whole]=$(<src/app/completion.zsh)
        whole' zsh "$@"
}
for command in '' $commands; do
    clean_env "$program" $command --help | sed -n 's/^  \(--[a-z-]*\).*/\1/p' >"$home/takes"
    echo "--help" >>"$home/takes"
    [ -n "$command" ] || echo "--version" >>"$home/takes"
    for shell in bash zsh; do
        offered_by_$shell $command -- >"$home/offered" 2>"$home/err"
        diff "$home/takes" "$home/offered" >"$home/diff"
        ok "$shell offers what '${command:-the dashboard}' takes" $?
        sed 's/^/#  /' "$home/diff" "$home/err"
    done
done
mkdir -p "$home/state/moonstand/sessions/2028-12-31" "$home/config/moonstand/themes"
cp themes/plain.json "$home/config/moonstand/themes/of-mine.json"
offers() { # WANTED WORDS...: both shells offer these lines
    wanted=$1
    shift
    [ "$(offered_by_bash "$@" | tr '\n' ' ')" = "$wanted" ]
    ok "bash offers for '$*': $wanted" $?
    [ "$(offered_by_zsh "$@" | tr '\n' ' ')" = "$wanted" ]
    ok "zsh offers for '$*': $wanted" $?
}
offers "$(echo "$commands" | tr '\n' ' ')" ""
offers "danjon chauvenet oblate " nights --shadow ""
offers "2028-12-31 " report --session ""
offers "blue-orange daylight of-mine plain red " --theme ""
[ "$(offered_by_bash nights --shadow = d)" = danjon ] && [ "$(offered_by_zsh nights --shadow=d)" = "danjon
chauvenet
oblate" ]
ok "both see a value after an equals sign" $?
[ "$(offered_by_bash look src/app/completion.b)" = src/app/completion.bash ] && [ "$(offered_by_zsh look src/)" = FILES ]
ok "both offer files where files can stand" $?
finish
