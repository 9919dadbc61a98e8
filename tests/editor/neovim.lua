-- What the keys of grammar/EDITORS.md do in Neovim, in a folder with a recipe at fault.
local function must(what, is, got)
  if not is then
    print(("\n%s: %s"):format(what, vim.inspect(got)))
    os.exit(1)
  end
end

local function wait(what, is)
  must(what, vim.wait(20000, is, 20), "nothing came")
end

local function keys(text)
  vim.api.nvim_feedkeys(vim.keycode(text), "xt", false)
end

local function put(line, column)
  vim.api.nvim_win_set_cursor(0, { line, column })
end

local function lines(buffer)
  return table.concat(vim.api.nvim_buf_get_lines(buffer or 0, 0, -1, false), "\n")
end

-- The text of the window that floats, which is closed then.
local function floating(what)
  local found
  wait(what, function()
    for _, window in ipairs(vim.api.nvim_list_wins()) do
      if vim.api.nvim_win_get_config(window).relative ~= "" then
        found = lines(vim.api.nvim_win_get_buf(window))
        vim.api.nvim_win_close(window, true)
        return true
      end
    end
    return false
  end)
  return found
end

vim.cmd.edit("first.heat")
local recipe = vim.api.nvim_get_current_buf()
wait("no findings", function() return #vim.diagnostic.get(recipe) > 0 end)
local finding = vim.diagnostic.get(recipe)[1]
must("the finding", finding.code == "syntax" and finding.lnum == 3, finding)
must("the comment mark", vim.bo.commentstring == "# %s", vim.bo.commentstring)

-- `gra`: what would mend it.
put(4, 16)
vim.ui.select = function(offers, _, choose) choose(offers[1], 1) end
keys("gra")
wait("no mend", function() return lines():find("2 mm thick") ~= nil end)
wait("the finding stays", function() return #vim.diagnostic.get(recipe, { severity = 1 }) == 0 end)

-- `K`, and `Ctrl-]`, which leads into the used file and back.
put(2, 11)
keys("K")
local told = floating("nothing is told of the recipe")
must("what is told", told:find("recipe rung%(w: length = 40 mm%)") and told:find("A rung of plain steel"), told)
put(2, 11)
keys("<C-]>")
must("where it leads", vim.fn.expand("%:t") == "ladder.heat" and vim.fn.line(".") == 3, vim.fn.expand("%"))
vim.cmd.buffer(recipe)

-- `grr`: in the file that is not open too.
put(2, 11)
keys("grr")
wait("no references", function() return #vim.fn.getqflist() >= 3 end)
local files = {}
for _, item in ipairs(vim.fn.getqflist()) do files[vim.fs.basename(vim.fn.bufname(item.bufnr))] = true end
must("the files", files["first.heat"] and files["second.heat"] and files["ladder.heat"], files)
vim.cmd.cclose()
vim.cmd.buffer(recipe)

-- `grn`, with an edit in the file that is not open.
put(2, 11)
vim.ui.input = function(_, take) take("step") end
keys("grn")
wait("no new name", function() return lines():find("= step%(w") ~= nil end)
local second = vim.fn.bufadd("second.heat")
vim.fn.bufload(second)
must("the other file", lines(second):find("= step%(%)"), lines(second))

-- `gO`, what is coloured, hints, measures, the folder's names.
keys("gO")
wait("no outline", function() return #vim.fn.getloclist(0) >= 3 end)
vim.cmd.lclose()
vim.cmd.buffer(recipe)
wait("no colours", function()
  local tokens = vim.lsp.semantic_tokens.get_at_pos(recipe, 1, 0)
  return tokens ~= nil and tokens[1] ~= nil and tokens[1].type == "keyword"
end)
wait("no hints", function() return #vim.lsp.inlay_hint.get({ bufnr = recipe }) > 0 end)
vim.lsp.codelens.refresh({ bufnr = recipe })
wait("no measures", function()
  local lenses = vim.lsp.codelens.get(recipe)
  return lenses[1] ~= nil and lenses[1].command.title:find("^a: 2 x ") ~= nil
end)
vim.fn.setqflist({})
vim.lsp.buf.workspace_symbol("gap")
wait("no name is found", function() return #vim.fn.getqflist() == 1 end)
vim.cmd.cclose()
vim.cmd.buffer(recipe)

-- `gqq`: one line, and the whole in the house style.
put(3, 0)
keys("gqq")
wait("the line is crooked", function() return lines():find("\ngrind a edges gap\n") ~= nil end)
vim.api.nvim_buf_set_lines(recipe, -1, -1, false, { "let  more=3 mm" })
vim.lsp.buf.format()
must("the house style", lines():find("let more = 3 mm"), lines())

-- `Ctrl-s` in a call, and `Ctrl-x Ctrl-o` behind a verb.
vim.api.nvim_buf_set_lines(recipe, -1, -1, false, { "stock c = step(w", "draw " })
put(vim.fn.line("$") - 1, 15)
vim.lsp.buf.signature_help()
told = floating("no parameters are told")
must("the parameters", told:find("step%(w: length = 40 mm%)"), told)
must("what completes", vim.bo.omnifunc == "v:lua.vim.lsp.omnifunc", vim.bo.omnifunc)
put(vim.fn.line("$"), 4)
local place = vim.lsp.util.make_position_params(0, "utf-16")
place.position.character = 5
local offered
for _, answer in pairs(vim.lsp.buf_request_sync(recipe, "textDocument/completion", place, 5000) or {}) do
  offered = answer.result
end
must("no offers", offered ~= nil and offered[1] ~= nil and offered[1].label == "a", offered)

print("\nall keys did what the page says")
os.exit(0)
