// Every feature that the language server announces. The last test holds what was announced against what the
// tests before it asked: a feature that none of them drives is a failure.
import assert from "node:assert/strict";

import { MUCH, Session, announced, at, coloured, driven, lsp, methods, of } from "./client.mjs";
import "./names.mjs";
import { BAR, OYSTER, RODS, drives, sessions, shop, start } from "./shop.mjs";

const { TextDocument } = lsp;

drives("a fault is told with its place, and goes with its words", async () => {
  const session = await start();
  const sound = await session.open("oyster.heat", OYSTER);
  assert.deepEqual(await session.findings(sound), []);
  const faulty = await session.change(sound, { text: OYSTER.replace("mm thick", "mm thik") });
  const [fault] = await session.findings(faulty);
  assert.equal(faulty.getText(fault.range), "thik");
  assert.deepEqual(
    [fault.code, fault.source, fault.severity],
    ["syntax", "heatbook", lsp.DiagnosticSeverity.Error],
  );
  assert.match(fault.message, /`thik` makes no sense here[^]*did you mean `thick`/);
  // A piece that is used up: the line that used it is told besides.
  const spent = await session.change(faulty, { text: OYSTER.replace("grind short", "grind knife") });
  const [twice] = await session.findings(spent);
  assert.equal(twice.code, "spent");
  assert.ok(twice.relatedInformation.some(({ location }) => location.range.start.line === 10));
  const mended = await session.change(spent, { text: OYSTER });
  assert.deepEqual(await session.findings(mended), []);
  // A closed document is no longer spoken of.
  const again = await session.change(mended, { text: "drawe b\n" });
  assert.notDeepEqual(await session.findings(again), []);
  await session.tell(lsp.DidCloseTextDocumentNotification, of(again));
  await session.findings({ uri: again.uri }, (findings) => findings.length === 0);
});

drives("a misspelt word is mended by an action", async () => {
  const { session } = await shop();
  const faulty = await session.open("slip.heat", BAR.replace("edges", "egdes"));
  const [fault] = await session.findings(faulty);
  const params = { ...of(faulty), range: fault.range, context: { diagnostics: [fault] } };
  const [mend, ...others] = await session.ask(lsp.CodeActionRequest, params);
  assert.deepEqual(others, []);
  assert.deepEqual([mend.title, mend.kind], ["write `edges` instead of `egdes`", "quickfix"]);
  assert.equal(mend.diagnostics[0].code, fault.code);
  const mended = TextDocument.applyEdits(faulty, mend.edit.changes[faulty.uri]);
  assert.equal(mended, BAR);
  assert.deepEqual(await session.findings(await session.change(faulty, { text: mended })), []);
  // No mend is of another kind.
  const other = await session.open("other.heat", faulty.getText());
  const refactor = { ...params, ...of(other), context: { diagnostics: [fault], only: ["refactor"] } };
  assert.deepEqual(await session.ask(lsp.CodeActionRequest, refactor), []);
});

drives("hover tells what stands there", async () => {
  const { session, oyster } = await shop();
  const hover = async (marked) => {
    const told = await session.ask(lsp.HoverRequest, at(oyster, marked));
    return told && `${oyster.getText(told.range)}: ${told.contents.value}`;
  };
  const measured = await hover("draw kn|ife");
  // Three leaves, and two between them.
  assert.match(measured, /^knife: [^]*after this step: 10 x 30 x [\d.]+ mm, [\d.]+ g, 5 layers$/);
  assert.equal(await hover("faces sk|in"), "skin: **skin**, set by `let`\n\n1.5 mm");
  const recipe = await hover("= ro|d(");
  assert.match(
    recipe,
    /^rod: [^]*recipe rod\(leaves: count = 3, broad: length = 30 mm\)[^]*A rod of two steels/,
  );
  assert.match(recipe, /- `leaves`: leaves of the dark steel/);
  assert.match(await hover("dr|aw knife"), /^draw: \*\*draw\*\*: draws a bar out/);
  assert.equal(await hover("heats| 3"), "heats: `heats 3`: how many trips through the fire");
  assert.equal(await hover("# For oys|ters"), null);
  const rods = await session.open("rods.heat", RODS);
  const steel = (await session.ask(lsp.HoverRequest, at(rods, "of 10|84"))).contents.value;
  // By its standard, 0.80 to 0.93 % of carbon.
  const carbon = Number(/\bC ([\d.]+) %/.exec(steel)[1]);
  assert.ok(carbon >= 0.8 && carbon <= 0.93, steel);
});

drives("the pattern is in the hover where an editor wishes for pictures and takes Markdown", async () => {
  const cases = [
    [MUCH, { pictures: true }, true],
    [MUCH, {}, false],
    [{ textDocument: { hover: { contentFormat: ["plaintext"] } } }, { pictures: true }, false],
  ];
  for (const [capabilities, options, shown] of cases) {
    const session = await start({ capabilities, options });
    const oyster = await session.open("oyster.heat", OYSTER);
    const { value } = (await session.ask(lsp.HoverRequest, at(oyster, "draw kn|ife"))).contents;
    const image = /!\[knife, seen from \w+\]\(data:image\/png;base64,([A-Za-z0-9+/=]+)\)/.exec(value);
    assert.equal(image !== null, shown, JSON.stringify([capabilities, options]));
    if (image === null) continue;
    const bytes = Buffer.from(image[1], "base64");
    assert.equal(bytes.subarray(1, 4).toString(), "PNG");
    // From above one steel only is seen, so it is a cut across: as wide to tall as the bar, 30 to 10.
    const ratio = bytes.readUInt32BE(16) / bytes.readUInt32BE(20);
    assert.ok(Math.abs(ratio - 3) < 0.1, String(ratio));
  }
});

drives("what could stand there is offered, and goes in where it should", async () => {
  for (const [capabilities, call] of [
    [MUCH, "rod($1)"],
    [{}, "rod()"],
  ]) {
    const session = await start({ capabilities });
    let document = await session.open("offers.heat", OYSTER);
    const offers = async (text) => {
      document = await session.change(document, { text: OYSTER + text });
      const position = document.positionAt(Infinity);
      const told = await session.ask(lsp.CompletionRequest, { ...of(document), position });
      const put = (offer) => TextDocument.applyEdits(document, [offer.textEdit]).slice(OYSTER.length);
      return new Map(told.map((offer) => [offer.label, { ...offer, put: put(offer) }]));
    };
    const pieces = await offers("weld sh");
    assert.deepEqual([...pieces.keys()].sort(), ["long", "short"]);
    assert.deepEqual([pieces.get("short").put, pieces.get("short").detail], ["weld short", "a piece"]);
    const clauses = await offers("draw short to 5 mm thick, he");
    assert.equal(clauses.get("heats").put, "draw short to 5 mm thick, heats");
    assert.equal(clauses.get("heats").documentation.value, "how many trips through the fire");
    assert.ok(!clauses.has("thinning"));
    const rod = (await offers("stock next = ro")).get("rod");
    assert.equal(rod.put, `stock next = ${call}`);
    assert.equal(rod.insertTextFormat === lsp.InsertTextFormat.Snippet, call.includes("$1"));
    assert.deepEqual([...(await offers('use "')).keys()], ["rods.heat", "spine.heat"]);
  }
});

drives("a call tells what it takes, and what is being given", async () => {
  const { session } = await shop();
  const next = await session.open("next.heat", 'use "rods.heat"\nstock next = rod(leaves = 5, ');
  const told = await session.ask(lsp.SignatureHelpRequest, at(next, "5, |"));
  const [signature] = told.signatures;
  assert.equal(signature.label, "rod(leaves: count = 3, broad: length = 30 mm)");
  assert.equal(signature.documentation.value, "A rod of two steels, laid by turns.");
  assert.equal(signature.parameters[told.activeParameter].label, "broad: length = 30 mm");
  const first = await session.ask(lsp.SignatureHelpRequest, at(next, "leaves = |5"));
  const given = first.signatures[0].parameters[first.activeParameter];
  assert.deepEqual(
    [given.label, given.documentation.value],
    ["leaves: count = 3", "leaves of the dark steel"],
  );
});

drives("a selection grows from the word to the whole", async () => {
  const { session, oyster } = await shop();
  const positions = [at(oyster, "knife to 1|0").position, at(oyster, "lay|ers").position];
  const grown = await session.ask(lsp.SelectionRangeRequest, { ...of(oyster), positions });
  const steps = (range) => (range ? [oyster.getText(range.range), ...steps(range.parent)] : []);
  const clause = "draw knife to 10 mm thick";
  assert.deepEqual(steps(grown[0]), [
    "10",
    "to 10 mm thick",
    clause,
    `${clause}, 30 mm wide, heats 3`,
    OYSTER,
  ]);
  const target = OYSTER.slice(OYSTER.indexOf("target short")).trimEnd();
  assert.deepEqual(steps(grown[1]), ["layers", "layers = 5", target, OYSTER]);
});

drives("the house style is brought to a whole text, or to some lines", async () => {
  const { session, oyster } = await shop();
  const options = { tabSize: 2, insertSpaces: true };
  assert.deepEqual(await session.ask(lsp.DocumentFormattingRequest, { ...of(oyster), options }), []);
  const text = BAR.replace("stock ", "stock  ").replace("grind ", "grind   ");
  const untidy = await session.open("untidy.heat", text);
  const all = await session.ask(lsp.DocumentFormattingRequest, { ...of(untidy), options });
  assert.equal(TextDocument.applyEdits(untidy, all), BAR);
  const range = { start: { line: 1, character: 0 }, end: { line: 1, character: 5 } };
  const some = await session.ask(lsp.DocumentRangeFormattingRequest, {
    ...of(untidy),
    range,
    options,
  });
  assert.equal(TextDocument.applyEdits(untidy, some), text.replace("grind   ", "grind "));
  // Blank lines behind the last one are none of it.
  const open = await session.open("open.heat", `${text}\n\n`);
  const line = await session.ask(lsp.DocumentRangeFormattingRequest, { ...of(open), range, options });
  assert.equal(TextDocument.applyEdits(open, line), `${text.replace("grind   ", "grind ")}\n\n`);
});

drives("what a piece measures is told over its last line, and behind each", async () => {
  const { session } = await shop();
  const bar = await session.open("bar.heat", BAR);
  const [lens, ...others] = await session.ask(lsp.CodeLensRequest, of(bar));
  assert.deepEqual([others, lens.range.start.line], [[], 1]);
  // Two off either edge: 6 x 36 x 120 mm, at 7.8 to 7.9 g for each cubic centimetre.
  const [, mass] = /^blade: 6 x 36 x 120 mm, ([\d.]+) g, 1 layer$/.exec(lens.command.title);
  assert.ok(mass > 25.92 * 7.8 && mass < 25.92 * 7.9, mass);
  const hints = async (from, to) => {
    const range = { start: { line: from, character: 0 }, end: { line: to, character: 3 } };
    const told = await session.ask(lsp.InlayHintRequest, { ...of(bar), range });
    return told.map(({ position, label }) => [bar.offsetAt(position), label]);
  };
  const [first, second] = [
    [BAR.indexOf("\n"), "6 x 40 x 120 mm"],
    [BAR.length - 1, "6 x 36 x 120 mm"],
  ];
  assert.deepEqual(await hints(0, 2), [first, second]);
  assert.deepEqual(await hints(1, 1), [second]);
  // Who does not want the lenses is not told that there are any.
  assert.equal((await start({ options: { lens: false } })).can.codeLensProvider, undefined);
});

drives("each word is coloured by what it stands for", async () => {
  const { session } = await shop();
  const { legend } = session.can.semanticTokensProvider;
  const text =
    'let edge = 2 mm # né 🔥\nnote "warm"\nstock b = 1 bar of 1084, 6 x 40 x 120 mm\ngrind b edges edge\n';
  const bar = await session.open("colours.heat", text);
  const all = coloured(bar, await session.ask(lsp.SemanticTokensRequest, of(bar)), legend);
  assert.deepEqual(
    all.slice(0, 6).map((pair) => pair.join(": ")),
    [
      "let: keyword declaration",
      "edge: variable declaration readonly",
      "=: operator",
      "2: number",
      "mm: number unit",
      "# né 🔥: comment",
    ],
  );
  assert.deepEqual(new Map(all).get('"warm"'), "string");
  assert.deepEqual(new Map(all).get("1084"), "enumMember");
  const line = "grind: keyword, b: variable, edges: modifier, edge: variable readonly";
  const range = { start: { line: 3, character: 0 }, end: { line: 3, character: 18 } };
  const part = coloured(
    bar,
    await session.ask(lsp.SemanticTokensRangeRequest, { ...of(bar), range }),
    legend,
  );
  assert.equal(part.map((pair) => pair.join(": ")).join(", "), line);
  assert.deepEqual(all.slice(-4), part);
});

drives("edits in parts come to the same as the text that they make", async () => {
  const { session } = await shop();
  assert.equal(session.can.positionEncoding, "utf-16");
  // é is one unit and two bytes, the flame two units and four bytes: they stand before the places.
  const start = 'note "né 🔥"\nstock blade = 1 bar of 1084, 6 x 40 x 120 mm # né 🔥 bar\n';
  let bar = await session.open("parts.heat", start);
  const part = (words, text) => {
    const from = bar.getText().indexOf(words);
    assert.notEqual(from, -1, words);
    return { range: { start: bar.positionAt(from), end: bar.positionAt(from + words.length) }, text };
  };
  bar = await session.change(bar, part(" bar\n", " heavy bar\ngrind blade egdes 2 mm # 🔥 grnid\n"));
  bar = await session.change(bar, part("grnid", "é"));
  bar = await session.change(bar, part('🔥"', '🔥🔥 twice"'));
  // Two in one message: the second is counted over what the first left.
  const top = { start: bar.positionAt(0), end: bar.positionAt(0) };
  bar = await session.change(bar, { range: top, text: "# 🔥é\n" }, { range: top, text: "# first\n" });
  const made = start
    .replace('🔥"', '🔥🔥 twice"')
    .replace(" bar\n", " heavy bar\ngrind blade egdes 2 mm # 🔥 é\n");
  assert.equal(bar.getText(), `# first\n# 🔥é\n${made}`);
  const [fault] = await session.findings(bar);
  assert.equal(bar.getText(fault.range), "egdes");
  bar = await session.change(bar, part("egdes", "edges"));
  assert.deepEqual(await session.findings(bar), []);
  const fresh = await session.open("fresh.heat", bar.getText());
  for (const request of [lsp.SemanticTokensRequest, lsp.DocumentSymbolRequest, lsp.CodeLensRequest]) {
    assert.deepEqual(await session.ask(request, of(bar)), await session.ask(request, of(fresh)));
  }
});

drives("a recipe that changes on disk is read anew", async () => {
  const session = await start();
  const oyster = await session.open("oyster.heat", OYSTER);
  assert.deepEqual(await session.findings(oyster), []);
  const [{ method, registerOptions }] = session.registered;
  assert.deepEqual(
    [method, registerOptions.watchers[0].globPattern],
    ["workspace/didChangeWatchedFiles", "**/*.heat"],
  );
  session.write(
    "rods.heat",
    RODS.replaceAll("leaves: count", "sheets: count").replace("leaves bars", "sheets bars"),
  );
  const changes = [{ uri: session.uri("rods.heat"), type: lsp.FileChangeType.Changed }];
  await session.connection.sendNotification(lsp.DidChangeWatchedFilesNotification.type, { changes });
  const [fault] = await session.findings(oyster, (findings) => findings.length > 0);
  assert.match(oyster.getText(fault.range), /leaves/);
});

drives("a conversation begins and ends in order", async () => {
  const early = new Session();
  sessions.push(early);
  const { connection, gone } = early;
  const hover = () =>
    early.ask(lsp.HoverRequest, at(TextDocument.create(early.uri("a.heat"), "", 1, BAR), "bl|ade"));
  await assert.rejects(hover(), { code: lsp.ErrorCodes.ServerNotInitialized });
  const params = { processId: null, rootUri: null, capabilities: {} };
  await connection.sendRequest(lsp.InitializeRequest.type, params);
  assert.equal(await connection.sendRequest(lsp.ShutdownRequest.type), null);
  await assert.rejects(hover(), { code: lsp.ErrorCodes.InvalidRequest });
  await connection.sendNotification(lsp.ExitNotification.type);
  assert.deepEqual(await gone, [0, null]);
  // Who goes without a word has come to grief.
  const rude = await start();
  await rude.connection.sendNotification(lsp.ExitNotification.type);
  assert.deepEqual(await rude.gone, [1, null]);
});

drives("all that is announced was driven, and nothing besides", () => {
  const asked = Object.entries(announced).flatMap(([key, told]) => methods(key, told));
  const undriven = asked.filter((method) => !driven.has(method));
  const unannounced = [...driven].filter((method) => !asked.includes(method));
  assert.deepEqual({ undriven, unannounced }, { undriven: [], unannounced: [] });
  assert.ok(driven.size > 20);
});
