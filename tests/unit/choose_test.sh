#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The choice of parts from the command line, and the README's way to it.
#
# PITLEAF_ROOT is the repository, PITLEAF_PROGRAM the program. Prints `ok NAME` or `not ok NAME`.
set -u
# shellcheck source=tests/shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs /usr/bin/python3

cold=$root/sheets/sluice-lane/plover-cold.leaf

# ---------------------------------------------------------------- the README

sed -n '/^## From what is in the case/,/^## /p' "$root/README.md" >section
block() { awk -v wanted="$1" '/^```/ { fences++; next } fences == 2 * wanted - 1 { print }' section; }
block 1 | sed '/^$/d' >box
[ -s box ] && sed -n '/^box/,$p' "$cold" | sed '/^$/d' | cmp - box
result "the README's box and aim are those of the demo" $?
block 2 | sed 1d >shown
command=$(block 2 | sed -n '1s/^\$ pitleaf //p')
[ -n "$command" ] && [ -s shown ] &&
  (cd "$root" && eval "\"$pitleaf\" $command") >out 2>err && diff shown out && [ ! -s err ]
result "the command prints what is shown" $?
grep -q "1\.20 → 0\.80" shown
result "two changes bring the rear from a ratio of 1.2 to 0.8" $?

# ---------------------------------------------------------------- the answer

run 0 choose "$cold" && cp out usual && [ ! -s err ] && [ "$(grep -c '^[0-9]* *[ma]' out)" -eq 10 ]
result "ten combinations, and silence in a pipe" $?
same=0
for threads in 1 2 3 8 64; do
  run 0 choose "$cold" --threads $threads && cmp -s usual out || same=1
done
result "the same bytes with any number of threads" $same

# The lines that are told give what was told.
run 0 choose "$cold" --best 3 --as json && cp out choice.json && /usr/bin/python3 - "$root" <<'PYTHON'
import json, os, subprocess, sys
root = sys.argv[1]
choice = json.load(open("choice.json"))
assert choice["shape"] == "pitleaf-choice" and choice["version"] == 1
assert choice["setup"] == "Sluice Lane, frost" and choice["box"] == "case"
assert len(choice["best"]) == 3 and choice["combinations"] >= choice["left-out"]
aim = choice["aims"][0]
assert abs(aim["least"] - 0.79) < 1e-12 and abs(aim["greatest"] - 0.81) < 1e-12
assert choice["aims"][1]["figure"] == "rear.settled-ride-height" or choice["aims"][1]["implied"]
assert not choice["now"][0]["met"]
for one in choice["best"]:
    assert one["met"] and one["work"] == sum(change["work"] for change in one["changes"])
    text = 'include "sheets/sluice-lane/plover-cold.leaf"\nsetup "try" from "Sluice Lane, frost" {\n' + one["lines"] + "}\n"
    done = subprocess.run([os.environ["PITLEAF_PROGRAM"], "figures", "-", "--root", root, "--as", "json"],
                          input=text, cwd=root, capture_output=True, text=True)
    figures = json.loads(done.stdout)["figures"]
    for told in one["figures"]:
        key = told["figure"].split(".")[1]
        for place, value in told["values"].items():
            assert figures[place][key]["value"] == value, (place, key, value)
PYTHON
result "the lines give the figures that are told" $?

# What is to be written down works as it is, also where the setup gives the same key itself, and
# where one of its corners does: within the setup's own block neither would.
cp -r "$root/sheets" pasted && sed -i 's|^  rear { oil.*|&\n  rear-left { oil = "clear 400"; preload = 6 mm }|;
s|^  rear {|  rear      {|' \
  pasted/sluice-lane/plover-cold.leaf && pasted=pasted/sluice-lane/plover-cold.leaf
run 0 choose $pasted --best 1 && cp out told && sed -n '/^setup /,$p' told >block && [ -s block ] &&
  { echo; cat block; } >>$pasted && run 0 check $pasted && run 0 tidy --check $pasted &&
  grep -q "left, .* right → " told && run 0 figures $pasted && grep -q "^Sluice Lane, frost, alive again" out &&
  run 0 choose $pasted && out "1   as it is: meets the aim" && out "Sluice Lane, frost, alive again, out of"
result "the block that is told works at the end of the file" $?
run 0 choose pasted/sluice-lane/plover-cold.leaf --setup "Sluice Lane, frost" --best 1 &&
  out 'setup "Sluice Lane, frost, alive again 2" from "Sluice Lane, frost" {'
result "and has a name that no setup of the file has" $?
run 0 choose "$cold" --units imperial && out "in ± 0.0197 in"
result "in inches" $?
run 0 choose "$cold" --best 100 && [ "$(grep -c '^[0-9]' out)" -ge 100 ]
result "a hundred of them" $?

# ---------------------------------------------------------------- what is missing

cat >none.leaf <<'LEAF'
oil "thin" { viscosity = 200 cSt }
setup "s" { front { oil = "thin" } }
LEAF
run 1 choose none.leaf && err "no-box" && err 'box "case" { oils = ["thin"]' && err "no-aim" &&
  err "write aim { rear.damping-ratio-slow = 0.8 +- 0.05 }" && [ ! -s out ]
result "neither box nor aim: what to write" $?
cat none.leaf - >one.leaf <<'LEAF'
box "b" { oils = ["thin"] }
aim { rear.damping-ratio-slow = 0.8 +- 0.05 }
LEAF
run 0 choose one.leaf && out "not known" && out "1   as it is" && ! out "meets the aim" >lacking
result "a figure that is not known is told so" $?
cat one.leaf - >several.leaf <<'LEAF'
box "c" from "b" { }
aim "other" { front.oil-viscosity = 250 cSt +- 1 cSt }
LEAF
run 1 choose several.leaf && err "several-boxes" && err "several-aims" && err "one without a name" &&
  run 0 choose several.leaf --box c --aim other && out 'out of "c"' &&
  run 1 choose several.leaf --box d --aim othr && err "no-such-box" && err 'there is "b", "c"' && err 'did you mean "other"?'
result "several boxes and aims" $?
sed 's/ratio-slow/ratio-slw/' one.leaf >slip.leaf
run 1 choose slip.leaf && err "aim-figure" && [ ! -s out ] && run 1 check slip.leaf && err "aim-figure"
result "a mistake in the aim" $?
sed 's/rear.damping.*/rear.corner-mass = 300 g +- 1.25 g; front.ride-frequency = 1e6 Hz +- 1e-3 Hz }/' one.leaf |
  sed 's/^oil.*/include "sheets\/cars\/plover\/baseline.leaf"/; s/^setup.*/setup "s" from "Plover baseline" { }/; s/"thin"/"clear 300"/' >far.leaf
ln -s "$root/sheets" sheets
run 0 choose far.leaf --root / --best 1 && out "474 g" && out "300 g ± 1.25 g" && out "173 g too high" && out "± 0.001 Hz"
result "how far it misses, to the digits that are told" $?
sed 's/; front.*/ }/' far.leaf >fixed.leaf
run 0 choose fixed.leaf --root / && out "1 combination." && out "None of what could be changed here"
result "nothing that could be changed" $?
mkdir lib && mv one.leaf lib/one.leaf && cat >main.leaf <<'LEAF'
include "lib/one.leaf"
setup "t" from "s" { }
LEAF
run 0 choose main.leaf && out 't, out of "b"' && sed 's/ratio-slow/ratio-slw/' lib/one.leaf >lib/two.leaf &&
  sed 's/one/two/' main.leaf >main2.leaf && run 1 choose main2.leaf && err "lib/two.leaf" && err "aim-figure"
result "a box and an aim that are included" $?
for wrong in "--best 0" "--best 101" "--best x" "--threads 0" "--threads 65" "--best 1x"; do
  # shellcheck disable=SC2086
  run 2 choose "$cold" $wrong && err "a whole number from 1 to" || echo "$wrong" >>taken
done
[ ! -e taken ]
result "counts that are none" $?
run 2 choose absent.leaf && run 2 choose
result "a file that is not there" $?

# ---------------------------------------------------------------- limits

cat >large.py <<'PYTHON'
oils = "\n".join(f'oil "o{i}" {{ viscosity = {100 + i} cSt }}' for i in range(13))
names = ", ".join(f'"o{i}"' for i in range(13))
springs = "\n".join(f'spring "s{i}" {{ rate = 0.{30 + i} N/mm; free-length = 50 mm }}' for i in range(20))
wound = ", ".join(f'"s{i}"' for i in range(20))
print(f"""{springs}
include "sheets/cars/plover/baseline.leaf"
{oils}
setup "s" from "Plover baseline" {{ }}
box "b" {{ blends = quarters; oils = [{names}]; springs = [{wound}] }}
aim {{ car.frequency-ratio = 0.9 +- 0.01; rear.damping-ratio-slow = 0.8 +- 0.1; front.damping-ratio-slow = 0.8 +- 0.1 }}""")
PYTHON
/usr/bin/python3 large.py >large.leaf
(cd "$root" && "$pitleaf" choose - --root "$root" <"$work/large.leaf") >out 2>err
[ $? -eq 2 ] && err "at most 2000000000" && err "front.oil (248)" && err "keep = [front.spring]" && [ ! -s out ]
result "too many combinations: which, and what to do" $?

# ---------------------------------------------------------------- on a terminal

# Nothing comes near what is wanted, so that all has to be looked through.
sed 's/range(20)/range(6)/; s/ratio = 0.9/ratio = 9/; s/slow = 0.8/slow = 9/g' large.py >long.py
/usr/bin/python3 long.py >long.leaf && cat >terminal.py <<'PYTHON'
import os, pty, select, signal, sys, time
program = sys.argv[1]
pid, terminal = pty.fork()
if pid == 0:
    os.execv(program, ["pitleaf", "choose", "long.leaf", "--root", "/", "--threads", "2"])
shown, asked = b"", None
while True:
    if select.select([terminal], [], [], 60)[0]:
        try:
            more = os.read(terminal, 4096)
        except OSError:
            break
        if not more:
            break
        shown += more
    if asked is None and shown.count(b"combinations") >= 2:
        os.write(terminal, b"\x03")
        asked = time.monotonic()
status = os.waitpid(pid, 0)[1]
assert asked is not None, shown
assert b"\r\x1b[K" in shown and b" % of " in shown, shown
assert os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGINT, status
assert time.monotonic() - asked < 5
PYTHON
/usr/bin/python3 terminal.py "$pitleaf"
result "on a terminal it says how far it is, and Ctrl-C ends it" $?

[ "$failures" -eq 0 ]
