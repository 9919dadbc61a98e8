// Starts `heatbook lsp` for recipes, and ends it with the editor.
const { workspace } = require("vscode");
const { LanguageClient } = require("vscode-languageclient/node");

let client;

exports.activate = () => {
  const settings = workspace.getConfiguration("heatbook");
  const server = { command: settings.get("program"), args: ["lsp", ...settings.get("arguments")] };
  const options = {
    documentSelector: [{ language: "heatbook" }],
    initializationOptions: { lens: settings.get("measures"), pictures: settings.get("pictures") },
  };
  client = new LanguageClient("heatbook", "Heatbook", server, options);
  return client.start();
};

exports.deactivate = () => client?.stop();
