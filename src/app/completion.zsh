#compdef moonstand
# Completion of moonstand for zsh.

_moonstand_sessions() {
    local -a names
    names=(${${(f)"$(moonstand sessions 2>/dev/null)"}%% *})
    compadd -a names
}

_moonstand() {
    local -a commands dashboard
    commands=(
        'nights:list the eclipses of a span, and what a site sees of them'
        'plan:the printable plan of one night'
        'now:what is true at one instant'
        'sites:the sites of the setup side by side: sky, horizon, forecast'
        'look:what pictures show: time, setting, and where the Moon is in them'
        'air:dew point, frost point and what to do'
        'setup:write a setup by answering questions'
        'rehearse:the dashboard on a shifted clock'
        'report:what a session recorded; picture lists put in order'
        'sessions:the recorded sessions'
    )
    local setup='--setup=[setup file]:file:_files'
    local site='--site=[place]:latitude,longitude[,metres]:'
    local eclipse='--eclipse=[day of greatest eclipse]:YYYY-MM-DD:'
    local theme='--theme=[colours]:theme:(red daylight plain blue-orange)'
    local shadow='--shadow=[how the air enlarges the shadow]:rule:(danjon chauvenet oblate)'
    local session='--session=[a recorded session]:session:_moonstand_sessions'
    local ascii='--ascii[ASCII characters only]'
    local json='--json[print JSON]'
    local help='--help[what the command takes, with an example]'
    dashboard=($setup $site $eclipse $theme $ascii $session '--plain[print the moment as text]' $shadow)

    if ((CURRENT == 2)) && [[ $words[2] != -* ]]; then
        _describe command commands
        return
    fi
    # What follows a command is completed as if the command were the program.
    if ((${commands[(I)$words[2]:*]})); then
        shift words
        ((CURRENT--))
    fi
    case $words[1] in
    nights)
        _arguments $help '--from=[first day]:YYYY-MM-DD:' '--to=[last day]:YYYY-MM-DD:' $site $shadow \
            '--kind=[which eclipses]:kind:(any penumbral partial total)' $json
        ;;
    plan) _arguments $help $eclipse $site $setup $json '--calendar[print an iCalendar file]' ;;
    now)
        _arguments $help '--at=[instant, UTC]:YYYY-MM-DDTHH\:MM:' $site $eclipse $setup $json \
            '--canvas=[print the dashboard]:columns x rows:(80x24 120x40)' $ascii
        ;;
    air)
        _arguments $help '--temperature=[of the air]:Celsius:' '--humidity=[relative]:percent:' $json
        ;;
    look) _arguments $help '--rig=[the rig that took them]:name:' $setup $json '*:picture or folder:_files' ;;
    sites) _arguments $help $eclipse $setup $json ;;
    setup) _arguments $help $setup ;;
    rehearse)
        _arguments $help $dashboard '--from=[where the clock starts]:instant or U1-10m:' \
            '--speed=[times faster than life]:factor:' '--demo[a night of our own invention]' \
            '--hooks[run the hooks of the setup too]'
        ;;
    report)
        _arguments $help $session '--against=[session to compare with]:session:_moonstand_sessions' \
            $json '--csv[print comma-separated values]' '--pictures[answer a list of pictures]'
        ;;
    sessions) _arguments $help $json ;;
    *) _arguments $help '--version[print the version]' $dashboard ;;
    esac
}

_moonstand "$@"
