-- A writer's session in a real editor: open the Curlew, type a fault, see it, mend it, hover, rename.
-- Run by tests/editors/run in each Neovim; works from 0.7 on. Prints one line a step.

vim.o.more = false
vim.o.shortmess = vim.o.shortmess .. "IW"
local workspace = os.getenv("AMPWRIGHT_WORKSPACE")
local passed, failed = 0, 0

local function step(what, worked, seen)
  if worked then
    passed = passed + 1
    io.stdout:write("ok   " .. what .. "\n")
  else
    failed = failed + 1
    io.stdout:write("FAIL " .. what .. "\n     saw: " .. vim.inspect(seen) .. "\n")
  end
end

local function wait(condition)
  return vim.wait(20000, condition, 20)
end

local function codes(buffer, line)
  local found = {}
  for _, diagnostic in ipairs(vim.diagnostic.get(buffer, line and { lnum = line } or nil)) do
    local code = diagnostic.code or (diagnostic.user_data and diagnostic.user_data.lsp.code)
    table.insert(found, tostring(code))
  end
  return found
end

local function has(list, wanted)
  return vim.tbl_contains(list, wanted)
end

local function serious(buffer)
  return #vim.diagnostic.get(buffer, { severity = { min = vim.diagnostic.severity.WARN } })
end

local function find(text)
  vim.api.nvim_win_set_cursor(0, { 1, 0 })
  return vim.fn.search("\\V" .. text, "cw") - 1
end

local function type_keys(keys)
  vim.api.nvim_feedkeys(vim.api.nvim_replace_termcodes(keys, true, false, true), "xt", false)
end

local function request(method)
  local parameters = vim.lsp.util.make_position_params(0, "utf-16")
  local answers = vim.lsp.buf_request_sync(0, method, parameters, 20000) or {}
  for _, answer in pairs(answers) do
    return answer.result
  end
end

local clients = vim.lsp.get_clients or vim.lsp.get_active_clients

vim.cmd("edit " .. workspace .. "/curlew/curlew.boat")
local plan = vim.api.nvim_get_current_buf()
step("the plan is a boat file", vim.bo.filetype == "boat", vim.bo.filetype)
step("the server attaches", wait(function()
  local list = clients()
  return #list == 1 and list[1].server_capabilities ~= nil
end), clients())

-- A fault, typed: the long feed with a far thinner conductor.
local feed = find("25 mm2 red 7 m")
step("the long feed is there", feed >= 0, feed)
type_keys("^cw1<Esc>")
step("the typed fault shows on its line", wait(function()
  return has(codes(plan, feed), "undersized-conductor")
end), codes(plan))
step("and as an error or a warning", serious(plan) > 0, serious(plan))
type_keys("u")
step("mended, it goes", wait(function()
  return not has(codes(plan), "undersized-conductor") and serious(plan) == 0
end), codes(plan))

-- The conductor's own numbers.
find("25 mm2 red 7 m")
local hover = request("textDocument/hover")
local words = hover and vim.inspect(hover.contents) or ""
step("the hover gives the current", words:find("%d A") ~= nil, words)
step("the hover gives the drop in volts", words:find("%d V") ~= nil, words)
step("the hover gives the drop in per cent", words:find("%d %%") ~= nil, words)

-- The load's whole circuit, from another file.
vim.cmd("edit " .. workspace .. "/curlew/water.boat")
local water = vim.api.nvim_get_current_buf()
vim.wait(500)
find("load fresh-pump")
vim.fn.search("fresh-pump")
hover = request("textDocument/hover")
words = hover and vim.inspect(hover.contents) or ""
step("a load's hover starts at the battery", words:find("house") ~= nil, words)
step("and comes home again", words:find("25 mm² black 7.5 m", 1, true) ~= nil, words)

-- Rename across files: the name is written in both buffers.
vim.lsp.buf.rename("water-pump")
local function text(buffer)
  return table.concat(vim.api.nvim_buf_get_lines(buffer, 0, -1, false), "\n")
end
step("the rename reaches this file", wait(function()
  return text(water):find("load water%-pump") ~= nil and text(water):find("fresh%-pump") == nil
end), text(water))
step("and the other", wait(function()
  return text(plan):find("on water%-pump") ~= nil and text(plan):find("fresh%-pump") == nil
end), text(plan))
step("and leaves the plan sound", wait(function()
  return serious(plan) == 0 and serious(water) == 0
end), codes(plan))

-- Completion of a kind at the margin.
vim.api.nvim_buf_set_lines(water, -1, -1, false, { "batt" })
vim.api.nvim_win_set_cursor(0, { vim.api.nvim_buf_line_count(water), 4 })
local list = request("textDocument/completion")
step("completion offers the kind", vim.inspect(list):find("battery") ~= nil, list)

io.stdout:write(string.format("%d passed, %d failed\n", passed, failed))
vim.cmd(failed == 0 and "qall!" or "cquit!")
