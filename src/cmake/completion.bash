# Completion for blendrisk in Bash 4 or newer. The program itself says what fits the line: the word
# at its end, what a file's name there begins with, then words, */ for directories, *ENDING for files.
_blendrisk() {
  local whole stem head before word found
  COMPREPLY=()
  {
    IFS= read -r whole
    IFS= read -r stem
    head=${whole%"$stem"} head=${head#[\"\']}
    while IFS= read -r word; do
      found=("$word")
      if [[ $word == \** ]]; then
        compopt -o filenames 2>/dev/null
        mapfile -t found < <(
          if [[ $word == '*/' ]]; then compgen -d -- "$stem"; else compgen -f -X "!$word" -- "$stem"; fi)
        found=("${found[@]/#/$head}")
      fi
      COMPREPLY+=("${found[@]}")
    done
  } < <(command "${1/#\~/$HOME}" complete-line "${COMP_LINE:0:COMP_POINT}" 2>/dev/null)
  # No space after the beginning of a key or an axis.
  if ((${#COMPREPLY[@]} == 1)) && [[ ${COMPREPLY[0]} == *[.=] ]]; then
    compopt -o nospace 2>/dev/null
  fi
  # Bash replaces only what follows the last of these characters.
  before=${whole%"${whole##*[=:]}"}
  if [[ $before && $COMP_WORDBREAKS == *"${before: -1}"* ]]; then
    COMPREPLY=("${COMPREPLY[@]#"$before"}")
  fi
} && complete -F _blendrisk blendrisk
