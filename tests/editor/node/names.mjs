// Names: where they are given, used, listed and changed, in files that are not open too.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { fileURLToPath, pathToFileURL } from "node:url";

import { at, lsp, of } from "./client.mjs";
import { FILES, OYSTER, RODS, drives, shop, start } from "./shop.mjs";

const { TextDocument } = lsp;

drives("a name leads to where it is given, and to its uses in files that are not open", async () => {
  const session = await start();
  const oyster = await session.open("oyster.heat", OYSTER);
  const texts = { ...FILES, "oyster.heat": OYSTER };
  const shown = ({ uri, range }) => {
    const name = uri.split("/").pop();
    const words = TextDocument.create(uri, "heatbook", 0, texts[name]).getText(range);
    return `${name}:${range.start.line} ${words}`;
  };
  const given = async (marked) => (await session.ask(lsp.DefinitionRequest, at(oyster, marked))).map(shown);
  assert.deepEqual(await given("= ro|d("), ["rods.heat:2 rod"]);
  assert.deepEqual(await given("knife sp|are"), ["oyster.heat:6 spare"]);
  assert.deepEqual(await given("grind lo|ng"), ["oyster.heat:10 long"]);
  assert.deepEqual(await given('"ro|ds'), ["rods.heat:0 "]);
  const uses = async (includeDeclaration) => {
    const params = { ...at(oyster, "faces sk|in"), context: { includeDeclaration } };
    return (await session.ask(lsp.ReferencesRequest, params)).map(shown).sort();
  };
  assert.deepEqual(await uses(false), ["oyster.heat:11 skin", "spine.heat:2 skin"]);
  assert.deepEqual(await uses(true), ["oyster.heat:11 skin", "rods.heat:0 skin", "spine.heat:2 skin"]);
});

drives("a name is changed wherever it stands, and the recipes are as good as before", async () => {
  const session = await start();
  const oyster = await session.open("oyster.heat", OYSTER);
  const place = at(oyster, "faces sk|in");
  const ready = await session.ask(lsp.PrepareRenameRequest, place);
  assert.deepEqual([ready.placeholder, oyster.getText(ready.range)], ["skin", "skin"]);
  const { documentChanges } = await session.ask(lsp.RenameRequest, { ...place, newName: "bark" });
  const versions = documentChanges.map(({ textDocument: { uri, version } }) => [uri, version]).sort();
  const names = ["oyster.heat", "rods.heat", "spine.heat"];
  // What is not open has no version.
  assert.deepEqual(
    versions,
    names.map((name, i) => [session.uri(name), i === 0 ? 1 : null]),
  );
  let renamed;
  for (const { textDocument, edits } of documentChanges) {
    const open = textDocument.uri === oyster.uri;
    const path = fileURLToPath(textDocument.uri);
    const text = open ? OYSTER : readFileSync(path, "utf8");
    const made = TextDocument.applyEdits(TextDocument.create(textDocument.uri, "heatbook", 0, text), edits);
    assert.equal(made, text.replace(/\bskin\b/, "bark"));
    if (open) renamed = made;
    else session.write(textDocument.uri.split("/").pop(), made);
  }
  assert.deepEqual(await session.findings(await session.change(oyster, { text: renamed })), []);
  const refused = async (marked, newName, why) => {
    const asked = session.ask(lsp.RenameRequest, { ...at(oyster, marked), newName });
    await assert.rejects(asked, { code: lsp.LSPErrorCodes.RequestFailed, message: why });
  };
  await refused("kni|fe = ", "weld", /^`weld` is a verb/);
  await refused("grind sh|ort", "long", /^`long` is a piece already/);
  await assert.rejects(session.ask(lsp.PrepareRenameRequest, at(oyster, "gas, 11|20")), /no name of yours/);
  // An editor that does not say that it takes versions is given none.
  const old = await start({ capabilities: {} });
  const called = at(await old.open("oyster.heat", OYSTER), "= ro|d(");
  const { changes } = await old.ask(lsp.RenameRequest, { ...called, newName: "bar-of" });
  assert.deepEqual(
    Object.keys(changes).sort(),
    names.map((name) => old.uri(name)),
  );
});

drives("the outline has what a recipe is made of", async () => {
  const { session } = await shop();
  const rods = await session.open("outline.heat", RODS);
  const [skin, rod, ...more] = await session.ask(lsp.DocumentSymbolRequest, of(rods));
  assert.deepEqual(more, []);
  assert.deepEqual(
    [skin.name, skin.kind, skin.detail],
    ["skin", lsp.SymbolKind.Constant, "let skin = 1.5 mm"],
  );
  assert.deepEqual(
    [rod.name, rod.kind, rods.getText(rod.selectionRange)],
    ["rod", lsp.SymbolKind.Function, "rod"],
  );
  assert.match(rods.getText(rod.range), /^recipe rod\([^]*give pile\n}$/);
  const inside = rod.children.map((child) => child.name);
  assert.deepEqual(inside, ["stock coal", "stock frost", "stack pile", "weld pile"]);
});

drives("names are sought in the folders that are worked in", async () => {
  const session = await start({ inFolder: false });
  const seek = async (query) => {
    const found = (await session.ask(lsp.WorkspaceSymbolRequest, { query })) ?? [];
    return found.map(({ name, location }) => [name, location.uri, location.range.start.line]);
  };
  assert.deepEqual(await seek("fro"), []);
  const folder = { uri: pathToFileURL(session.folder).href, name: "shop" };
  const move = async (added, removed) =>
    session.tell(lsp.DidChangeWorkspaceFoldersNotification, { event: { added, removed } });
  await move([folder], []);
  assert.deepEqual(await seek("fro"), [["frost", session.uri("rods.heat"), 7]]);
  assert.deepEqual(await seek("spn"), [["spine", session.uri("spine.heat"), 1]]);
  await move([], [folder]);
  assert.deepEqual(await seek("fro"), []);
});

drives("names are marked, blocks fold, and a used file is a link", async () => {
  const { session, oyster } = await shop();
  const marks = await session.ask(lsp.DocumentHighlightRequest, at(oyster, "draw kn|ife"));
  const { Read, Write } = lsp.DocumentHighlightKind;
  assert.deepEqual(
    marks.map(({ range, kind }) => [range.start.line, oyster.getText(range), kind]),
    [7, 8, 9, 10].map((line) => [line, "knife", line === 7 ? Write : Read]),
  );
  const folds = await session.ask(lsp.FoldingRangeRequest, of(oyster));
  // The line with the bracket stays to be seen.
  assert.deepEqual(
    folds.map(({ startLine, endLine, kind = "" }) => `${startLine}-${endLine}${kind}`).sort(),
    ["1-2", "12-13", "15-17", "4-5comment"],
  );
  const [link, ...others] = await session.ask(lsp.DocumentLinkRequest, of(oyster));
  assert.deepEqual(others, []);
  assert.deepEqual([oyster.getText(link.range), link.target], ['"rods.heat"', session.uri("rods.heat")]);
});
