" SPDX-License-Identifier: GPL-3.0-or-later
" Opens $FILE, runs :make, lays the file out, and writes the list of errors and some options to $RESULT.
set nocompatible encoding=utf-8
execute 'set runtimepath^=' . fnameescape($EDITOR_FILES)
filetype plugin on
execute 'silent edit' fnameescape($FILE)
silent make!
let s:out = map(getqflist(), {_, one -> join([one.valid, fnamemodify(bufname(one.bufnr), ':t'),
      \ one.lnum, one.col, one.type, one.text], ' ')})
silent normal! gg=G
call add(s:out, 'laid out ' . getline(2))
call add(s:out, 'commentstring ' . &commentstring)
call add(s:out, 'word ' . matchstr(getline(2), '\<\k\+\>'))
execute b:undo_ftplugin
call add(s:out, 'undone ' . (&makeprg ==# 'make' && &equalprg ==# ''))
call writefile(s:out, $RESULT)
qall!
