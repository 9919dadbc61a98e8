"""A session with the server, and what every test needs of it."""

import asyncio
import os
import sys

import pytest_asyncio
import pytest_lsp
from lsprotocol import types
from pytest_lsp import ClientServerConfig, LanguageClient, client_capabilities

sys.dont_write_bytecode = True
SERVER = os.environ["HEATBOOK"]


class Desk:
    """The documents of a test: opened, changed, asked about."""

    def __init__(self, client: LanguageClient, folder):
        self.client, self.folder, self.version = client, folder, 1

    def write(self, name, text):
        path = self.folder / name
        path.write_text(text, encoding="utf-8")
        return path.as_uri()

    async def open(self, text, name="recipe.heat"):
        """Opens a document and gives its URI and its findings."""
        uri = (self.folder / name).as_uri()
        document = types.TextDocumentItem(uri=uri, language_id="heatbook", version=1, text=text)
        self.client.text_document_did_open(types.DidOpenTextDocumentParams(text_document=document))
        return uri, await self.findings(uri)

    async def change(self, uri, text):
        self.version += 1
        self.client.diagnostics.pop(uri, None)
        document = types.VersionedTextDocumentIdentifier(uri=uri, version=self.version)
        change = types.TextDocumentContentChangeWholeDocument(text=text)
        self.client.text_document_did_change(types.DidChangeTextDocumentParams(document, [change]))
        return await self.findings(uri)

    def close(self, uri):
        params = types.DidCloseTextDocumentParams(types.TextDocumentIdentifier(uri))
        self.client.text_document_did_close(params)

    async def findings(self, uri, fits=lambda found: True):
        """Waits for findings that fit."""
        for _ in range(500):
            found = self.client.diagnostics.get(uri)
            if found is not None and fits(found):
                return list(found)
            await asyncio.sleep(0.02)
        raise AssertionError(f"no such findings: {self.client.diagnostics.get(uri)}")

    def place(self, uri, text, words, behind=0, times=1):
        """The place of words in a text: of their so-many-th time, so many letters in."""
        at = -1
        for _ in range(times):
            at = text.index(words, at + 1)
        at += behind
        before = text[:at]
        line = before.count("\n")
        column = len(before[before.rfind("\n") + 1:].encode("utf-16-le")) // 2
        return types.TextDocumentIdentifier(uri), types.Position(line, column)

    async def hover(self, uri, text, words, behind=0, times=1):
        where = self.place(uri, text, words, behind, times)
        told = await self.client.text_document_hover_async(types.HoverParams(*where))
        return told.contents.value if told else None

    async def complete(self, uri, text, words):
        """What is offered right behind some words."""
        where = self.place(uri, text, words, len(words))
        offers = await self.client.text_document_completion_async(types.CompletionParams(*where))
        return {o.label: o for o in offers}


def applied(text, edits):
    """A text with edits made, from the end on."""
    lines = text.split("\n")
    starts = [0]
    for line in lines:
        starts.append(starts[-1] + len(line) + 1)

    def offset(place):
        if place.line >= len(lines):
            return len(text)
        line = lines[place.line].encode("utf-16-le")
        return starts[place.line] + len(line[: 2 * place.character].decode("utf-16-le"))

    for edit in sorted(edits, key=lambda e: (e.range.start.line, e.range.start.character), reverse=True):
        text = text[: offset(edit.range.start)] + edit.new_text + text[offset(edit.range.end):]
    return text


def edits_of(edit):
    """The edits of each document, whether the editor takes them with versions or without."""
    if edit.document_changes is None:
        return edit.changes
    return {change.text_document.uri: change.edits for change in edit.document_changes}


def words_of(text, range_):
    """The words of a range of one line."""
    line = text.split("\n")[range_.start.line].encode("utf-16-le")
    return line[2 * range_.start.character: 2 * range_.end.character].decode("utf-16-le")


@pytest_lsp.fixture(
    params=["visual_studio_code", "neovim"],
    config=ClientServerConfig(server_command=[SERVER, "lsp"]),
)
async def client(request, lsp_client: LanguageClient):
    capabilities = client_capabilities(request.param)

    @lsp_client.feature(types.CLIENT_REGISTER_CAPABILITY)
    def registered(params: types.RegistrationParams):
        lsp_client.registered = [r.method for r in params.registrations]

    lsp_client.agreed = await lsp_client.initialize_session(types.InitializeParams(capabilities=capabilities))
    yield
    await lsp_client.shutdown_session()


@pytest_asyncio.fixture
async def desk(client, tmp_path):
    return Desk(client, tmp_path.resolve())
