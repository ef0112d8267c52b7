# Completion of moonstand for bash.

_moonstand() {
    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]}
    local dashboard="setup site eclipse theme ascii session plain shadow" options=

    # What stands before and after an equals sign are words of their own.
    [ "$word" = = ] && word=
    [ "$before" = = ] && before=${COMP_WORDS[COMP_CWORD - 2]}
    case $before in
    --setup)
        compopt -o filenames
        COMPREPLY=($(compgen -f -- "$word"))
        return
        ;;
    --theme) options="red daylight plain blue-orange" ;;
    --shadow) options="danjon chauvenet oblate" ;;
    --kind) options="any penumbral partial total" ;;
    --session | --against) options=$(moonstand sessions 2>/dev/null | cut -d' ' -f1) ;;
    --site | --rig | --eclipse | --from | --to | --at | --canvas | --speed | --temperature | --humidity) return ;;
    esac
    if [ -z "$options" ]; then
        case ${COMP_WORDS[1]} in
        nights) options="from to site shadow kind json" ;;
        plan) options="eclipse site setup json calendar" ;;
        now) options="at site eclipse setup json canvas ascii" ;;
        sites) options="eclipse setup json" ;;
        look)
            options="rig setup json"
            if [[ $COMP_CWORD -gt 1 && $word != -* ]]; then
                compopt -o filenames
                COMPREPLY=($(compgen -f -- "$word"))
                return
            fi
            ;;
        air) options="temperature humidity json" ;;
        setup) options="setup" ;;
        rehearse) options="from speed demo hooks $dashboard" ;;
        report) options="session against json csv pictures" ;;
        sessions) options="json" ;;
        *) options=$dashboard ;;
        esac
        options=$(printf -- '--%s ' $options help)
        if [ "$COMP_CWORD" -eq 1 ]; then
            case $word in
            -*) options="$options --version" ;;
            *) options="nights plan now sites look air setup rehearse report sessions" ;;
            esac
        fi
    fi
    COMPREPLY=($(compgen -W "$options" -- "$word"))
}
complete -F _moonstand moonstand
