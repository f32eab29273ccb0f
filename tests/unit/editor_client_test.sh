#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Tests the language server with a client that comes from elsewhere: Neovim, without a screen.
# What it sees is asserted on its side, in editor_client.lua.
# shellcheck source-path=SCRIPTDIR source=../shell.sh
. "${PITLEAF_ROOT:-$(pwd)}/tests/shell.sh"
needs nvim

export HOME="$work/home" XDG_CONFIG_HOME="$work/home" XDG_DATA_HOME="$work/home" XDG_STATE_HOME="$work/home" NVIM_LOG_FILE="$work/nvim.log"
export PITLEAF_LUA="$root/tests/unit/editor_client.lua"
mkdir -p home car/library bin
ln -s "$pitleaf" bin/pitleaf
export PATH="$work/bin:$PATH"
# The lines that the README tells to write.
awk '/^```lua$/ { inside = 1; next } /^```$/ { inside = 0 } inside' "$root/README.md" >init.lua

cat >car/library/oils.leaf <<'END_OF_FILE'
oil "clear 300" { viscosity = 300 cSt }
oil "clear 350" { viscosity = 350 cSt }
END_OF_FILE
cat >car/base.leaf <<'END_OF_FILE'
include "library/oils.leaf"
setup "Base" {
  all   { ride-height = 21 mm; oil = "clear 350" }
  front { preload = 3 mm }
}
END_OF_FILE
cat >car/wet.leaf <<'END_OF_FILE'
include "base.leaf"
setup "Мокро 😀, wet" from "Base" {
  air = 9 degC
  front { oil = "clear 300"; preload += 1 mm; ride-heigth = 22 mm }
}
END_OF_FILE

cd car || exit 1
# What it prints stands on the lines that begin with ok and not ok.
timeout 120 nvim --headless -u NONE -i NONE -n --cmd 'set nomore' -c "lua dofile(vim.env.PITLEAF_LUA)" -c cquit >"$work/out" 2>&1 </dev/null
ended=$?
tr '\r' '\n' <"$work/out" >"$work/seen"
grep '^ok \|^not ok ' "$work/seen"
[ "$ended" -eq 0 ] && ! grep -q '^not ok ' "$work/seen"
status=$?
[ $status -eq 0 ] || sed 's/^/# /' "$work/seen"
result "the client ends with everything seen" $status
cd "$work" || exit 1
# Whatever still runs in the client's folder.
for process in /proc/[0-9]*; do
  [ "$(readlink "$process/cwd")" = "$work/car" ] && tr '\0' ' ' <"$process/cmdline"
done >"$work/left" 2>/dev/null
[ ! -s "$work/left" ]
result "no server is left behind" $?

[ "$failures" -eq 0 ]
