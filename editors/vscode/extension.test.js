// The extension against a stand-in for the editor: that it starts what the settings name.
"use strict";

const test = require("node:test");
const assert = require("node:assert");
const Module = require("node:module");

const started = [];
const stand_in = {
  vscode: { workspace: { getConfiguration: (section) => ({ get: (key) => ({ "ampwright.command": ["ampwright", "serve"] })[`${section}.${key}`] }) } },
  "vscode-languageclient/node": {
    LanguageClient: class {
      constructor(id, name, server, client) {
        started.push({ id, server, client });
      }
      start() {
        return "started";
      }
      stop() {
        return "stopped";
      }
    },
  },
};

const load = Module._load;
Module._load = (request, ...rest) => stand_in[request] ?? load(request, ...rest);
const extension = require("./extension.js");
const manifest = require("./package.json");

test("starts the configured server for plans and stops it", () => {
  assert.strictEqual(extension.activate(), "started");
  assert.deepStrictEqual(started[0].server, { command: "ampwright", args: ["serve"] });
  assert.deepStrictEqual(started[0].client.documentSelector, [{ language: "boat" }]);
  assert.strictEqual(extension.deactivate(), "stopped");
});

test("the manifest opens .boat files and keeps the command out of a workspace's hands", () => {
  assert.deepStrictEqual(manifest.contributes.languages[0].extensions, [".boat"]);
  assert.strictEqual(manifest.contributes.configuration.properties["ampwright.command"].scope, "machine");
});
