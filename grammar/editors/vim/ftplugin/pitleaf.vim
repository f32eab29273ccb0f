" SPDX-License-Identifier: GPL-3.0-or-later
" What Vim needs to know of pitleaf's setup language: comments, names with hyphens, and the
" program to check and to tidy a file with. `let g:pitleaf_folding = 1` folds blocks.
if exists("b:did_ftplugin")
  finish
endif
let b:did_ftplugin = 1

setlocal comments=:#
setlocal commentstring=#\ %s
setlocal formatoptions-=t formatoptions+=croql
setlocal iskeyword+=-
setlocal shiftwidth=2 expandtab

" gq and = lay out the file; :make fills the list of errors.
setlocal formatprg=pitleaf\ tidy\ --stdout\ -
setlocal equalprg=pitleaf\ tidy\ --stdout\ -
setlocal makeprg=pitleaf\ check\ --colour\ never\ %:S
let &l:errorformat = '%f:%l:%c: %trror%m,%f:%l:%c: %tarning%m,pitleaf: %trror%m,%-G%.%#'

let b:undo_ftplugin = "setlocal comments< commentstring< formatoptions< iskeyword<"
      \ . " shiftwidth< expandtab< formatprg< equalprg< makeprg< errorformat<"

if get(g:, "pitleaf_folding", 0)
  setlocal foldmethod=marker foldmarker={,}
  let b:undo_ftplugin .= " foldmethod< foldmarker<"
endif
