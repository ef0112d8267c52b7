#compdef moonstand
# Completion of moonstand for zsh. The program itself knows what can follow.

_moonstand() {
    local output
    local -a asked found
    asked=("${(@)words[2,CURRENT]}")
    # What stands before and after an equals sign are two words to the program.
    if [[ $asked[-1] = --*=* ]]; then
        asked=("${(@)asked[1,-2]}" "${asked[-1]%%=*}" "${asked[-1]#*=}")
        compset -P '*='
    fi
    if output=$(moonstand --complete "${asked[@]}" 2>/dev/null); then
        found=("${(@f)output}")
        _describe 'moonstand' found
    else
        _files
    fi
}

_moonstand "$@"
