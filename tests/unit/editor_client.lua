-- SPDX-License-Identifier: GPL-3.0-or-later
-- What Neovim does with the language server: opens, edits, completes, asks, renames, mends, lays
-- out. Run by editor_client_test.sh in a folder with three files.
local failures = 0

local function check(name, held, seen)
  if held then
    io.stdout:write('\nok ' .. name .. '\n')
  else
    failures = failures + 1
    io.stdout:write('\nnot ok ' .. name .. '\n# ' .. vim.inspect(seen):gsub('\n', '\n# ') .. '\n')
  end
end

local function wait(condition)
  return vim.wait(10000, condition, 10)
end

-- The lines that the README tells to write into init.lua, then a file as in daily use.
dofile('../init.lua')
vim.cmd('edit wet.leaf')
wait(function() return #vim.lsp.get_active_clients() > 0 end)
local client = vim.lsp.get_active_clients()[1].id

local function lines(buffer)
  return table.concat(vim.api.nvim_buf_get_lines(buffer or 0, 0, -1, false), '\n')
end

-- Puts the cursor on the first occurrence of a text, `after` bytes further on.
local function go_to(text, after)
  for number, line in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do
    local at = line:find(text, 1, true)
    if at then
      vim.api.nvim_win_set_cursor(0, { number, at - 1 + (after or 0) })
      return
    end
  end
  error('no ' .. text)
end

local function ask(method, params)
  params = vim.tbl_extend('force', vim.lsp.util.make_position_params(), params or {})
  local answers = vim.lsp.buf_request_sync(0, method, params, 10000) or {}
  return (answers[client] or {}).result
end

-- ---------------------------------------------------------------- problems

wait(function() return #vim.diagnostic.get(0) > 0 end)
local found = vim.diagnostic.get(0)
check('a slip of the pen is told', #found == 1 and found[1].code == 'unknown-key'
  and found[1].message:find('did you mean `ride%-height`') and found[1].lnum == 3, found)
local column = (vim.api.nvim_buf_get_lines(0, 3, 4, false)[1]):find('ride-heigth', 1, true) - 1
check('at its place', found[1] and found[1].col == column, found)

go_to('ride-heigth', 2)
local range = vim.lsp.util.make_given_range_params({ 4, column + 2 }, { 4, column + 2 })
range.context = { diagnostics = {} }
local actions = vim.lsp.buf_request_sync(0, 'textDocument/codeAction', range, 10000)[client].result
check('its mend is offered', actions and #actions == 1 and actions[1].title == 'Write ride-height', actions)
vim.lsp.util.apply_workspace_edit(actions[1].edit, 'utf-16')
check('and done', lines():find('ride-height = 22 mm', 1, true), lines())
wait(function() return #vim.diagnostic.get(0) == 0 end)
check('then there is no problem left', #vim.diagnostic.get(0) == 0, vim.diagnostic.get(0))

-- ---------------------------------------------------------------- editing

-- Typed letter by letter, as a hand would, behind letters that UTF-16 counts otherwise.
vim.cmd('normal! gg/wet"\rcedampp, wet')
check('an edit behind wide letters', lines():find('Мокро 😀, dampp, wet"', 1, true), lines())
go_to('air = 9', 0)
vim.cmd('normal! 0C  air = 9 mm')
wait(function() return #vim.diagnostic.get(0) > 0 end)
found = vim.diagnostic.get(0)
check('a length is no temperature', #found == 1 and found[1].lnum == 2, found)
vim.cmd('normal! 0C  air = 9 degC')
wait(function() return #vim.diagnostic.get(0) == 0 end)

-- ---------------------------------------------------------------- completion

local function labels(result)
  local items = vim.lsp.util.text_document_completion_list_to_complete_items(result, '')
  local all = {}
  for _, item in ipairs(items) do all[item.abbr or item.word] = item.word end
  return all
end

go_to('front {', 8)
local offered = labels(ask('textDocument/completion'))
check('keys of the scope', offered['camber'] and offered['spring'] and not offered['air'], offered)
check('but none that is given', not offered['preload'], offered)
go_to('"clear 300"', 4)
offered = labels(ask('textDocument/completion'))
check('names of the right kind', offered['clear 300'] and offered['clear 350'] and not offered['Base'], offered)
go_to('9 degC', 2)
offered = labels(ask('textDocument/completion'))
check('units of the right dimension', offered['degC'] and offered['degF'] and not offered['mm'], offered)

-- A word half written, taken from the list.
go_to('  air', 0)
vim.cmd('normal! O  surf')
local here = { position = { line = vim.fn.line('.') - 1, character = #vim.fn.getline('.') } }
for _, item in ipairs(ask('textDocument/completion', here).items) do
  if item.label == 'surface' then vim.lsp.util.apply_text_edits({ item.textEdit }, 0, 'utf-16') end
end
check('an offer that is taken', lines():find('surface = \n', 1, true), lines())
vim.cmd('normal! dd')

-- ---------------------------------------------------------------- meanings

go_to('preload', 2)
local hover = ask('textDocument/hover')
local said = hover and hover.contents.value or ''
check('hover: meaning, value and origin', said:find('Preload') and said:find('4.00 mm', 1, true)
  and said:find('base.leaf:4', 1, true) and said:find('wet.leaf:4', 1, true), said)
go_to('"clear 300"', 3)
local place = ask('textDocument/definition')
check('definition of a name', place and place.uri:find('library/oils.leaf$') and place.range.start.line == 0, place)
go_to('"base.leaf"', 3)
place = ask('textDocument/definition')
check('definition of an include', place and place.uri:find('/base.leaf$'), place)
go_to('"clear 300"', 3)
local places = ask('textDocument/references', { context = { includeDeclaration = true } })
check('references', places and #places == 2, places)
go_to('"base.leaf"', 3)
places = ask('textDocument/references', { context = { includeDeclaration = true } })
check('references of a file', places and #places == 1 and places[1].uri:find('/wet.leaf$'), places)
local symbols = ask('textDocument/documentSymbol')
check('symbols', symbols and #symbols == 2 and #symbols[2].children == 2, symbols)
local hints = ask('textDocument/inlayHint', { range = { start = { line = 0, character = 0 }, ['end'] = { line = 99, character = 0 } } })
local hinted = vim.inspect(hints)
check('hints', hinted:find('48 °F', 1, true) and hinted:find('from 3.00 mm', 1, true), hints)

-- ---------------------------------------------------------------- renaming

go_to('"clear 300"', 3)
vim.lsp.buf.rename('light 300')
wait(function() return lines():find('oil = "light 300"', 1, true) end)
check('renamed here', lines():find('oil = "light 300"', 1, true), lines())
local library = vim.fn.bufnr('library/oils.leaf')
check('and where it is declared', library > 0 and lines(library):find('oil "light 300"', 1, true),
  library > 0 and lines(library))
wait(function() return #vim.diagnostic.get(0) == 0 end)
check('no problem comes of it', #vim.diagnostic.get(0) == 0, vim.diagnostic.get(0))

-- ---------------------------------------------------------------- layout

go_to('air = 9', 0)
vim.cmd('normal! 0C  air   =9degC')
vim.lsp.buf.formatting_sync(nil, 10000)
check('laid out', lines():find('\n  air = 9 degC\n', 1, true), lines())

-- Edits at the beginning, at the end, everywhere and nowhere come to what the command prints.
local kept = vim.api.nvim_buf_get_lines(0, 0, -1, false)
for number, text in ipairs({
  '\n\nlet a = 1\nlet b = 2\n', 'let a = 1\nlet b = 2\n\n\n', 'let a = 1\n\n\n\nlet b = 2',
  'let a=1\nlet ü="漢 😀" #c\nlet b=2', 'let a = 1\nlet b = 2', 'setup "A"{rear{a=1}# c\nfront{b=2}}',
  '\n\n\n', 'let a = 1\nlet b =\n' }) do
  vim.api.nvim_buf_set_lines(0, 0, -1, false, vim.split(text, '\n'))
  local wanted = vim.fn.system('pitleaf tidy - 2>/dev/null', text .. '\n')
  if vim.v.shell_error ~= 0 then wanted = text .. '\n' end
  vim.lsp.buf.formatting_sync(nil, 10000)
  local got = lines() .. '\n'
  check('laid out, text ' .. number, got == wanted or (wanted == '' and got == '\n'), { got, wanted })
end
vim.api.nvim_buf_set_lines(0, 0, -1, false, kept)

vim.lsp.stop_client(client)
wait(function() return not vim.lsp.get_client_by_id(client) end)
check('the server ends', not vim.lsp.get_client_by_id(client), 'it runs')
vim.cmd(failures == 0 and 'qall!' or 'cquit!')
