// A client: the protocol library of editors on Node, a server to talk to, and a folder of recipes for both.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, realpathSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { pathToFileURL } from "node:url";

// The packages lie where things are built, not beside this file: `run` says where.
const packages = createRequire(join(process.env.HEATBOOK_NODE_PACKAGES, "/"));
export const lsp = packages("vscode-languageserver-protocol/node");
const { TextDocument } = lsp;

/** How long a server may take, in milliseconds: it is a debug build, and the machine may be busy. */
export const PATIENCE = 60_000;

/** What an editor says that can do much; one that says nothing can do little. */
export const MUCH = {
  general: { positionEncodings: ["utf-16"] },
  workspace: {
    workspaceEdit: { documentChanges: true },
    didChangeWatchedFiles: { dynamicRegistration: true },
    workspaceFolders: true,
  },
  textDocument: {
    hover: { contentFormat: ["markdown", "plaintext"] },
    completion: { completionItem: { snippetSupport: true } },
  },
};

/** Over all sessions: what servers announced, and the methods that were told, or answered with something. */
export const announced = {};
export const driven = new Set();
const isNothing = (answer) => answer == null || (Array.isArray(answer) && answer.length === 0);

export class Session {
  found = new Map();
  registered = [];

  constructor() {
    this.folder = realpathSync(mkdtempSync(join(tmpdir(), "heatbook-")));
    this.server = spawn(process.env.HEATBOOK, ["lsp"], { stdio: ["pipe", "pipe", "inherit"] });
    this.gone = once(this.server, "exit");
    const { stdout, stdin } = this.server;
    const streams = [new lsp.StreamMessageReader(stdout), new lsp.StreamMessageWriter(stdin)];
    this.connection = lsp.createProtocolConnection(...streams);
    // Who waits for an answer of a server that is gone waits for ever.
    this.server.on("exit", () => this.connection.dispose());
    this.connection.onNotification(lsp.PublishDiagnosticsNotification.type, (p) => this.found.set(p.uri, p));
    this.connection.onRequest(
      lsp.RegistrationRequest.type,
      (p) => void this.registered.push(...p.registrations),
    );
    this.connection.listen();
  }

  /** A session under way: with what the editor can do, what it wishes for, and recipes that are not open. */
  static async start({ capabilities = MUCH, options, files = {}, inFolder = true } = {}) {
    const session = new Session();
    for (const [name, text] of Object.entries(files)) session.write(name, text);
    const workspaceFolders = inFolder ? [{ uri: pathToFileURL(session.folder).href, name: "shop" }] : null;
    const params = { processId: process.pid, rootUri: null, workspaceFolders, capabilities };
    if (options) params.initializationOptions = options;
    session.can = (await session.connection.sendRequest(lsp.InitializeRequest.type, params)).capabilities;
    Object.assign(announced, session.can);
    await session.connection.sendNotification(lsp.InitializedNotification.type, {});
    return session;
  }

  drop() {
    this.server.kill();
    rmSync(this.folder, { recursive: true });
  }

  uri(name) {
    return pathToFileURL(join(this.folder, name)).href;
  }

  write(name, text) {
    writeFileSync(join(this.folder, name), text);
  }

  async ask(request, params) {
    const answer = await this.connection.sendRequest(request.type, params);
    if (!isNothing(answer)) driven.add(request.method);
    return answer;
  }

  async tell(notification, params) {
    await this.connection.sendNotification(notification.type, params);
    driven.add(notification.method);
  }

  async open(name, text) {
    const document = TextDocument.create(this.uri(name), "heatbook", 1, text);
    const { uri, languageId, version } = document;
    await this.tell(lsp.DidOpenTextDocumentNotification, {
      textDocument: { uri, languageId, version, text },
    });
    return document;
  }

  /** Changes a document by `{ text }` or by parts, `{ range, text }`, each over what the last one left. */
  async change(document, ...contentChanges) {
    const [{ uri }, version] = [document, document.version + 1];
    await this.tell(lsp.DidChangeTextDocumentNotification, {
      textDocument: { uri, version },
      contentChanges,
    });
    return contentChanges.reduce((before, { range, text }) => {
      const made = range ? TextDocument.applyEdits(before, [{ range, newText: text }]) : text;
      return TextDocument.create(uri, "heatbook", version, made);
    }, document);
  }

  /** The findings of a document's newest text, once they fit. */
  async findings({ uri, version }, fits = () => true) {
    for (const until = Date.now() + PATIENCE; Date.now() < until; await sleep(10)) {
      const found = this.found.get(uri);
      if (found?.version === version && fits(found.diagnostics)) return found.diagnostics;
    }
    return assert.fail(`no such findings: ${JSON.stringify(this.found.get(uri))}`);
  }
}

export const of = ({ uri }) => ({ textDocument: { uri } });

/** The place that a bar marks in some words of a document: `draw kn|ife`. */
export function at(document, marked) {
  const start = document.getText().indexOf(marked.replace("|", ""));
  assert.notEqual(start, -1, marked);
  return { ...of(document), position: document.positionAt(start + marked.indexOf("|")) };
}

/** The words of a document that an answer about colours speaks of, each with what it is. */
export function coloured(document, { data }, { tokenTypes, tokenModifiers }) {
  let [line, character] = [0, 0];
  return Array.from({ length: data.length / 5 }, (_, i) => {
    const [down, right, length, type, more] = data.slice(5 * i, 5 * i + 5);
    [line, character] = [line + down, down ? right : character + right];
    const end = { line, character: character + length };
    const kinds = [tokenTypes[type], ...tokenModifiers.filter((_, bit) => more & (1 << bit))];
    return [document.getText({ start: { line, character }, end }), kinds.join(" ")];
  });
}

const ASKED = {
  codeActionProvider: "codeAction",
  codeLensProvider: "codeLens",
  completionProvider: "completion",
  definitionProvider: "definition",
  documentFormattingProvider: "formatting",
  documentHighlightProvider: "documentHighlight",
  documentLinkProvider: "documentLink",
  documentRangeFormattingProvider: "rangeFormatting",
  documentSymbolProvider: "documentSymbol",
  foldingRangeProvider: "foldingRange",
  hoverProvider: "hover",
  inlayHintProvider: "inlayHint",
  referencesProvider: "references",
  renameProvider: "rename",
  selectionRangeProvider: "selectionRange",
  signatureHelpProvider: "signatureHelp",
};

/** The methods that an editor may send where this is announced; an unknown key stands for a test to come. */
export function methods(key, told) {
  const more = told.resolveProvider ? [`${key} resolved`] : [];
  if (told.prepareProvider) more.push("textDocument/prepareRename");
  if (key in ASKED) return [`textDocument/${ASKED[key]}`, ...more];
  switch (key) {
    case "positionEncoding":
      return [];
    case "semanticTokensProvider": {
      const kinds = [told.full && "full", told.full?.delta && "full/delta", told.range && "range"];
      return kinds.filter(Boolean).map((kind) => `textDocument/semanticTokens/${kind}`);
    }
    case "textDocumentSync":
      return ["didOpen", "didChange", "didClose"].map((name) => `textDocument/${name}`);
    case "workspace":
      return Object.keys(told).flatMap((part) =>
        part === "workspaceFolders" ? ["workspace/didChangeWorkspaceFolders"] : [`workspace ${part}`],
      );
    case "workspaceSymbolProvider":
      return ["workspace/symbol", ...more];
    default:
      return [key];
  }
}
