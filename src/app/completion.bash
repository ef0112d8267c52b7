# Completion of moonstand for bash. The program itself knows what can follow.

_moonstand() {
    local IFS=$'\n' word=${COMP_WORDS[COMP_CWORD]} found words=() part
    # What stands before and after an equals sign are words of their own.
    for part in "${COMP_WORDS[@]:1:COMP_CWORD}"; do
        [ "$part" = = ] || words+=("$part")
    done
    [ "$word" != = ] || { word= && words+=(""); }
    if found=$(moonstand --complete "${words[@]}" 2>/dev/null); then
        COMPREPLY=($(compgen -W "$(cut -d: -f1 <<<"$found")" -- "$word"))
    else
        compopt -o filenames 2>/dev/null
        COMPREPLY=($(compgen -f -- "$word"))
    fi
}
complete -F _moonstand moonstand
