# Puts what follows the line @NAME in PARTS where TEMPLATE has that line.
# usage: awk -f parts.awk PARTS TEMPLATE
/^@/ { name = $0 }
NR == FNR { if (!/^@/) part[name] = part[name] $0 "\n"; next }
/^@/ { printf "%s", part[name]; next }
{ print }
