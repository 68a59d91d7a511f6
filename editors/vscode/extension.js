// Starts the language server for plans; everything else is the server's.
"use strict";

const vscode = require("vscode");
const { LanguageClient } = require("vscode-languageclient/node");

let client;

function activate() {
  const [command, ...args] = vscode.workspace.getConfiguration("ampwright").get("command");
  client = new LanguageClient(
    "ampwright",
    "ampwright",
    { command, args },
    { documentSelector: [{ language: "boat" }] },
  );
  return client.start();
}

function deactivate() {
  return client?.stop();
}

module.exports = { activate, deactivate };
