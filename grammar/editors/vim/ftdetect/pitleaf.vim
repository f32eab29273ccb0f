" SPDX-License-Identifier: GPL-3.0-or-later
" A file whose name ends in .leaf is in pitleaf's setup language.
autocmd BufRead,BufNewFile *.leaf setfiletype pitleaf
