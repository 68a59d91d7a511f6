-- Attaches the ampwright language server to a plan. Works from Neovim 0.7 on.
--
-- `vim.g.ampwright_command` names another program or adds arguments; the default is found on PATH.

vim.bo.commentstring = "# %s"
vim.bo.expandtab = true
vim.bo.shiftwidth = 4
vim.bo.tabstop = 4

local command = vim.g.ampwright_command or { "ampwright", "serve" }

-- The folder whose files a plan may use: the nearest one under version control, else the plan's own.
local function workspace(path)
  local folder = vim.fn.fnamemodify(path, ":p:h")
  for _, marker in ipairs({ "ampwright.toml", ".git" }) do
    local found = vim.fn.finddir(marker, folder .. ";")
    if found == "" then
      found = vim.fn.findfile(marker, folder .. ";")
    end
    if found ~= "" then
      return vim.fn.fnamemodify(found, ":p"):gsub("/$", ""):match("^(.*)/[^/]*$")
    end
  end
  return folder
end

local config = { name = "ampwright", cmd = command, root_dir = workspace(vim.api.nvim_buf_get_name(0)) }
config.workspace_folders = { { uri = vim.uri_from_fname(config.root_dir), name = config.root_dir } }

if vim.lsp.start then
  vim.lsp.start(config)
else
  -- Neovim 0.7: one client a workspace, kept here.
  _G.ampwright_clients = _G.ampwright_clients or {}
  local known = _G.ampwright_clients[config.root_dir]
  if not known or not vim.lsp.get_client_by_id(known) then
    known = vim.lsp.start_client(config)
    _G.ampwright_clients[config.root_dir] = known
  end
  vim.lsp.buf_attach_client(0, known)
end
