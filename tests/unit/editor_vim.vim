" SPDX-License-Identifier: GPL-3.0-or-later
" Reads lines `file line column length class` from the file named by $TOKENS and writes them to
" $RESULT with the syntax group of each character of the token behind them, each group once.
set nocompatible encoding=utf-8
execute 'set runtimepath^=' . fnameescape($EDITOR_FILES)
filetype plugin on
syntax on
set synmaxcol=0

let s:out = []
let s:file = ''
for s:row in readfile($TOKENS)
  let [s:path, s:line, s:column, s:length, s:class] = split(s:row, "\t")
  if s:path !=# s:file
    let s:file = s:path
    execute 'silent edit' fnameescape(s:path)
    if &filetype !=# 'pitleaf'
      call add(s:out, s:path . ' has the type ' . &filetype)
    endif
  endif
  let s:groups = []
  let s:at = s:column
  let s:text = getline(s:line)
  while s:at < s:column + s:length && s:at <= strlen(s:text)
    let s:group = synIDattr(synID(s:line, s:at, 0), 'name')
    if index(s:groups, s:group) < 0
      call add(s:groups, s:group)
    endif
    let s:at += strlen(matchstr(s:text, '.', s:at - 1))
  endwhile
  call add(s:out, s:row . "\t" . join(s:groups, ' '))
endfor
call writefile(s:out, $RESULT)
qall!
