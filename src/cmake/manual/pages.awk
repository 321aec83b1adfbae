# What help2man and scdoc leave to do: the day of the version in place of that of the build, signs
# that can be copied, commands in the lines that they were given in, and for mandoc no empty
# paragraphs and no lines above 80 bytes.
# usage: awk -v day=2026-01-31 -f pages.awk PAGE

function folded(line,    at) {
  while (length(line) > 80) {
    for (at = 81; at > 1 && substr(line, at, 1) != " ";) at--
    if (at == 1) break
    print substr(line, 1, at - 1)
    line = substr(line, at + 1)
    if (line ~ /^[.']/) line = "\\&" line
  }
  print line
}

/^\.PP?$/ { paragraph = 1; next }
# An example stands at the margin, as it is copied.
/^\.R[SE]/ && last ~ /^\.(nf|fi)/ { last = $0; next }
!/^\.RE/ {
  if (paragraph && last !~ /^\.S[HS]/ && !/^\.(S[HS]|TP|IP)/) print ".PP"
  paragraph = 0
}
/^\.TH / {
  $2 = toupper($2)
  sub(/" "[^"]*[0-9][0-9][0-9][0-9][^"]*"/, "\" \"" day "\"")
  # Names of keys and columns are not to be hyphenated, in groff nor in mandoc.
  $0 = $0 "\n.nr HY 0\n.nh\n.ad l"
}
# help2man knows a subsection by its colon.
/^\.SS ".*:"$/ { sub(/:"$/, "\"") }
/^\.(nf|EX)/ { example = 1 }
/^\.(fi|EE)/ { example = 0 }
!/^\./ {
  sub(/^\t+/, "")
  gsub(/\\-/, "-")
  gsub(/-/, "\\-")
  gsub(/`/, "\\(ga")
}
{ last = $0 }
/^\./ || example { print; next }
{ folded($0) }
/\\e$/ { print ".br" }
