//! The conversation: which messages are understood, in which state, and what is answered.

use std::path::PathBuf;

use lsp_server::{ErrorCode, Message, Notification, Request, RequestId, Response};
use lsp_types::notification::{self as told, Notification as _};
use lsp_types::request::{self as asked, Request as _};
use lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CodeLensOptions, CompletionOptions,
    DocumentLinkOptions, FoldingRangeProviderCapability, HoverProviderCapability, InitializeParams,
    InitializeResult, MarkupKind, OneOf, RenameOptions, SelectionRangeProviderCapability,
    SemanticTokensFullOptions, SemanticTokensOptions, SemanticTokensServerCapabilities, ServerCapabilities,
    ServerInfo, SignatureHelpOptions, TextDocumentSyncCapability, TextDocumentSyncKind, Uri,
    WorkspaceFoldersServerCapabilities, WorkspaceServerCapabilities,
};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::bug::{Bug, caught};
use crate::quantity::Units;
use crate::workshop::Sources;

use super::documents::{Documents, View, told as bug_told};
use super::text::Encoding;
use super::uri::path_of;
use super::wire::Refused;
use super::{
    actions, complete, format, hover, inlay, lens, marks, names, publish, rename, select, signature, symbols,
    tokens,
};

/// How far the conversation is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Nothing is agreed yet.
    Fresh,
    /// Under way.
    Running,
    /// The editor has said that it will go.
    Leaving,
    /// It has gone; whether it said so before.
    Gone(bool),
}

/// The server: takes messages, and gives out messages.
pub struct Server {
    state: State,
    documents: Documents,
    out: Vec<Message>,
    /// Whether the editor takes snippets with holes in them, and tells of files that change.
    snippets: bool,
    watches: bool,
    /// Whether it takes edits together with the versions of what they are of, and shows pictures.
    versioned: bool,
    pictures: bool,
}

impl Server {
    /// A server that reads files from `sources`; `units` are the reader's, or those of each recipe.
    #[must_use]
    pub fn new(sources: Box<dyn Sources>, allow_outside: bool, units: Option<Units>) -> Self {
        let documents = Documents::new(sources, allow_outside, units);
        let (state, out) = (State::Fresh, Vec::new());
        let (snippets, watches, versioned, pictures) = (false, false, false, false);
        Server { state, documents, out, snippets, watches, versioned, pictures }
    }

    /// How far the conversation is.
    #[must_use]
    pub fn state(&self) -> State {
        self.state
    }

    /// What is to be sent, in order.
    pub fn outgoing(&mut self) -> Vec<Message> {
        std::mem::take(&mut self.out)
    }

    /// Takes a message.
    pub fn take(&mut self, message: Message) {
        match message {
            Message::Request(request) => self.request(request),
            Message::Notification(notification) => _ = self.notification(notification),
            // The only thing asked of an editor is to watch files: whether it will is all the same.
            Message::Response(_) => {}
        }
    }

    /// Tells of every document that changed what is wrong with it.
    pub fn settle(&mut self) {
        for uri in self.documents.uris() {
            let Some(document) = self.documents.worked(&uri) else { continue };
            if document.told {
                continue;
            }
            document.told = true;
            let refused = document.refused().map(|why| publish::refused(document, why));
            let params =
                caught(|| refused.or_else(|| self.documents.viewed(&uri).map(|v| publish::findings(&v))));
            self.tell_unless_bug(params);
        }
    }

    /// Tells of a document's findings, or of what kept them from being found.
    fn tell_unless_bug(&mut self, found: Result<Option<lsp_types::PublishDiagnosticsParams>, Bug>) {
        match found {
            Ok(params) => self.tell::<told::PublishDiagnostics>(params),
            Err(bug) => self.log(bug_told(&bug)),
        }
    }

    /// Writes into the editor's log.
    fn log(&mut self, message: String) {
        let params = lsp_types::LogMessageParams { typ: lsp_types::MessageType::ERROR, message };
        self.tell::<told::LogMessage>(Some(params));
    }

    /// Reads offers once more with the text around them, and looks for what would mend missed targets, as long as `goes_on` says so, and tells of it.
    pub fn ponder(&mut self, goes_on: &mut dyn FnMut() -> bool) {
        for uri in self.documents.uris() {
            if !goes_on() {
                return;
            }
            let found = caught(|| {
                let settled = self.documents.settle(&uri);
                let known = self.documents.worked(&uri).and_then(|d| d.known());
                let mended = known.is_some_and(|known| known.mend(goes_on));
                self.documents.viewed(&uri).filter(|_| mended || settled).map(|view| publish::findings(&view))
            });
            self.tell_unless_bug(found);
        }
        // Made once, while nobody waits for it.
        if goes_on() {
            _ = crate::manual::pages();
        }
    }

    fn tell<N: told::Notification>(&mut self, params: Option<N::Params>)
    where
        N::Params: Serialize,
    {
        if let Some(params) = params {
            self.out.push(Message::Notification(Notification::new(N::METHOD.to_owned(), params)));
        }
    }

    fn answer(&mut self, id: RequestId, result: Result<Value, Refused>) {
        let response = match result {
            Ok(value) => Response::new_ok(id, value),
            Err((code, message)) => Response::new_err(id, code as i32, message),
        };
        self.out.push(Message::Response(response));
    }

    /// Acts on a notification; `None` where what it says makes no sense.
    fn notification(&mut self, notification: Notification) -> Option<()> {
        let Notification { method, params } = notification;
        match method.as_str() {
            told::Exit::METHOD => self.state = State::Gone(self.state == State::Leaving),
            _ if self.state != State::Running => {}
            told::Initialized::METHOD => self.watch(),
            told::DidOpenTextDocument::METHOD => {
                let document = self.read::<told::DidOpenTextDocument>(params)?.text_document;
                self.documents.put(document.uri, document.version, document.text);
            }
            told::DidChangeTextDocument::METHOD => {
                let params = self.read::<told::DidChangeTextDocument>(params)?;
                let document = params.text_document;
                self.documents.change(&document.uri, document.version, params.content_changes);
            }
            told::DidCloseTextDocument::METHOD => {
                let uri = self.read::<told::DidCloseTextDocument>(params)?.text_document.uri;
                let closed = self.documents.close(&uri);
                self.tell::<told::PublishDiagnostics>(closed.then(|| publish::none(uri)));
            }
            // A file that some document uses may be another now.
            told::DidChangeWatchedFiles::METHOD | told::DidSaveTextDocument::METHOD => self.documents.stale(),
            told::DidChangeWorkspaceFolders::METHOD => {
                let event = self.read::<told::DidChangeWorkspaceFolders>(params)?.event;
                let of = |folders: Vec<lsp_types::WorkspaceFolder>| {
                    paths(&folders.into_iter().map(|folder| folder.uri).collect::<Vec<_>>())
                };
                self.documents.folders(&of(event.added), &of(event.removed));
            }
            _ => {}
        }
        Some(())
    }

    /// Reads what a notification says; nobody waits for an answer, so what makes no sense goes to the editor's log.
    fn read<N: told::Notification>(&mut self, params: Value) -> Option<N::Params>
    where
        N::Params: DeserializeOwned,
    {
        match serde_json::from_value(params) {
            Ok(params) => Some(params),
            Err(error) => {
                self.log(format!("`{}` makes no sense: {error}", N::METHOD));
                None
            }
        }
    }

    /// Asks an editor that can to tell when a recipe changes on disk.
    fn watch(&mut self) {
        if !self.watches {
            return;
        }
        let params = serde_json::json!({ "registrations": [{
            "id": "recipes",
            "method": told::DidChangeWatchedFiles::METHOD,
            "registerOptions": { "watchers": [{ "globPattern": "**/*.heat" }] },
        }] });
        let id = RequestId::from("watch".to_owned());
        let method = asked::RegisterCapability::METHOD.to_owned();
        self.out.push(Message::Request(Request { id, method, params }));
    }

    fn request(&mut self, request: Request) {
        let Request { id, method, params } = request;
        let result = match (self.state, method.as_str()) {
            (State::Fresh, asked::Initialize::METHOD) => self.initialize(params),
            (State::Fresh, _) => {
                Err((ErrorCode::ServerNotInitialized, "`initialize` comes first".to_owned()))
            }
            (State::Running, asked::Initialize::METHOD) => {
                Err((ErrorCode::InvalidRequest, "`initialize` comes once".to_owned()))
            }
            (State::Running, asked::Shutdown::METHOD) => {
                self.state = State::Leaving;
                Ok(Value::Null)
            }
            (State::Running, _) => self.safely(|server| server.question(&method, params)),
            (State::Leaving | State::Gone(_), _) => {
                Err((ErrorCode::InvalidRequest, "after `shutdown` only `exit` comes".to_owned()))
            }
        };
        self.answer(id, result);
    }

    /// Answers; a bug that this comes upon is told to whoever asked, and the documents stay as they are.
    fn safely(&mut self, answer: impl FnOnce(&mut Self) -> Result<Value, Refused>) -> Result<Value, Refused> {
        caught(|| answer(self)).unwrap_or_else(|bug| Err((ErrorCode::InternalError, bug_told(&bug))))
    }

    fn initialize(&mut self, params: Value) -> Result<Value, Refused> {
        let wishes: Wishes = match params.get("initializationOptions") {
            None | Some(Value::Null) => Wishes::default(),
            Some(wishes) => understood(asked::Initialize::METHOD, wishes.clone())?,
        };
        // Older editors name one folder, in a place of its own.
        let root = params.get("rootUri").and_then(|root| serde_json::from_value(root.clone()).ok());
        let params: InitializeParams = understood(asked::Initialize::METHOD, params)?;
        let can = params.capabilities;
        let offered = can.general.as_ref().and_then(|g| g.position_encodings.as_deref());
        self.documents.encoding = Encoding::agreed(offered);
        let completion = can.text_document.as_ref().and_then(|t| t.completion.as_ref());
        let item = completion.and_then(|c| c.completion_item.as_ref());
        let shown =
            can.text_document.as_ref().and_then(|t| t.hover.as_ref()).and_then(|h| h.content_format.as_ref());
        let marked = shown.is_some_and(|forms| forms.contains(&MarkupKind::Markdown));
        self.pictures = wishes.pictures && marked;
        self.snippets = item.and_then(|i| i.snippet_support).unwrap_or(false);
        let watched = can.workspace.as_ref().and_then(|w| w.did_change_watched_files.as_ref());
        self.watches = watched.and_then(|w| w.dynamic_registration).unwrap_or(false);
        let edits = can.workspace.as_ref().and_then(|w| w.workspace_edit.as_ref());
        self.versioned = edits.and_then(|e| e.document_changes).unwrap_or(false);
        let named = params.workspace_folders.filter(|folders| !folders.is_empty());
        let tops: Vec<Uri> = match named {
            Some(folders) => folders.into_iter().map(|folder| folder.uri).collect(),
            None => root.into_iter().collect(),
        };
        self.documents.folders(&paths(&tops), &[]);
        self.state = State::Running;
        let result = InitializeResult {
            capabilities: capabilities(self.documents.encoding, wishes.lens),
            server_info: Some(ServerInfo {
                name: "heatbook".to_owned(),
                version: Some(env!("CARGO_PKG_VERSION").to_owned()),
            }),
        };
        said(&result)
    }

    fn question(&mut self, method: &str, params: Value) -> Result<Value, Refused> {
        match method {
            asked::HoverRequest::METHOD => {
                let pictures = self.pictures;
                self.ask::<asked::HoverRequest>(params, |view, p| hover::hover(view, p, pictures))
            }
            asked::Completion::METHOD => {
                let snippets = self.snippets;
                self.ask::<asked::Completion>(params, |view, p| complete::complete(view, p, snippets))
            }
            asked::DocumentSymbolRequest::METHOD => {
                self.ask::<asked::DocumentSymbolRequest>(params, symbols::symbols)
            }
            asked::DocumentHighlightRequest::METHOD => {
                self.ask::<asked::DocumentHighlightRequest>(params, marks::highlights)
            }
            asked::FoldingRangeRequest::METHOD => {
                self.ask::<asked::FoldingRangeRequest>(params, marks::folds)
            }
            asked::DocumentLinkRequest::METHOD => {
                self.ask::<asked::DocumentLinkRequest>(params, marks::links)
            }
            asked::SemanticTokensFullRequest::METHOD => {
                self.ask::<asked::SemanticTokensFullRequest>(params, tokens::whole)
            }
            asked::SemanticTokensRangeRequest::METHOD => {
                self.ask::<asked::SemanticTokensRangeRequest>(params, tokens::part)
            }
            asked::SignatureHelpRequest::METHOD => {
                self.ask::<asked::SignatureHelpRequest>(params, signature::help)
            }
            asked::SelectionRangeRequest::METHOD => {
                self.ask::<asked::SelectionRangeRequest>(params, select::ranges)
            }
            asked::RangeFormatting::METHOD => self.ask::<asked::RangeFormatting>(params, format::part),
            asked::CodeLensRequest::METHOD => self.ask::<asked::CodeLensRequest>(params, lens::lenses),
            asked::InlayHintRequest::METHOD => self.ask::<asked::InlayHintRequest>(params, inlay::hints),
            asked::Formatting::METHOD => self.ask::<asked::Formatting>(params, format::edits),
            asked::GotoDefinition::METHOD => self.ask::<asked::GotoDefinition>(params, names::definition),
            asked::PrepareRenameRequest::METHOD => {
                let params: lsp_types::TextDocumentPositionParams = understood(method, params)?;
                let view = self.documents.view(params.text_document.uri.as_str());
                said(&view.map(|view| rename::prepare(&view, params.position)).transpose()?)
            }
            asked::References::METHOD => {
                let params: lsp_types::ReferenceParams = understood(method, params)?;
                let at = &params.text_document_position;
                self.gather(lsp_types::MessageType::LOG);
                let own = params.context.include_declaration;
                said(&names::references(&mut self.documents, at.text_document.uri.as_str(), at.position, own))
            }
            asked::Rename::METHOD => {
                let params: lsp_types::RenameParams = understood(method, params)?;
                let at = &params.text_document_position;
                self.gather(lsp_types::MessageType::WARNING);
                let (uri, at, new) = (at.text_document.uri.as_str(), at.position, &params.new_name);
                rename::rename(&mut self.documents, uri, at, new, self.versioned)
            }
            asked::WorkspaceSymbolRequest::METHOD => {
                let params: lsp_types::WorkspaceSymbolParams = understood(method, params)?;
                self.gather(lsp_types::MessageType::LOG);
                said(&symbols::everywhere(&self.documents, &params.query))
            }
            asked::CodeActionRequest::METHOD => {
                let params: lsp_types::CodeActionParams = understood(method, params)?;
                let uri = params.text_document.uri.as_str();
                // Whoever asks for a mend waits for it: the search has its own patience.
                if let Some(document) = self.documents.worked(uri)
                    && document.known().is_some_and(|known| known.mend(&mut || true))
                {
                    document.told = false;
                }
                said(&self.documents.viewed(uri).map(|view| actions::actions(&view, &params)))
            }
            _ => Err((ErrorCode::MethodNotFound, format!("`{method}` is not known here"))),
        }
    }

    /// Reads the recipes of the folders, and works every open document through: a name may be used in any of them. What
    /// is left out is told to the smith where that may leave something undone, else to the editor's log.
    fn gather(&mut self, typ: lsp_types::MessageType) {
        for message in self.documents.gather() {
            if typ == lsp_types::MessageType::LOG {
                self.tell::<told::LogMessage>(Some(lsp_types::LogMessageParams { typ, message }));
            } else {
                let message = format!("{message}; a name in it stays as it is");
                self.tell::<told::ShowMessage>(Some(lsp_types::ShowMessageParams { typ, message }));
            }
        }
    }

    /// Answers a question about one document; about one that is not open there is nothing to say.
    fn ask<R: asked::Request>(
        &mut self,
        params: Value,
        tell: impl FnOnce(&View, &R::Params) -> R::Result,
    ) -> Result<Value, Refused>
    where
        R::Params: DeserializeOwned,
        R::Result: Serialize,
    {
        // All such questions name their document in the same place.
        let uri = params.pointer("/textDocument/uri").and_then(Value::as_str).unwrap_or_default().to_owned();
        let params: R::Params = understood(R::METHOD, params)?;
        said(&self.documents.view(&uri).map(|view| tell(&view, &params)))
    }
}

/// What an editor may wish for besides, as `initializationOptions` of `initialize`.
#[derive(Deserialize)]
#[serde(default)]
struct Wishes {
    /// Over the line that last made it, what each piece measures.
    lens: bool,
    /// A picture of the pattern in the hover of a piece: for editors that show images in Markdown.
    pictures: bool,
}

impl Default for Wishes {
    fn default() -> Wishes {
        Wishes { lens: true, pictures: false }
    }
}

/// The paths of the names that are files.
fn paths(uris: &[Uri]) -> Vec<PathBuf> {
    uris.iter().filter_map(|uri| path_of(uri.as_str())).collect()
}

fn understood<P: DeserializeOwned>(method: &str, params: Value) -> Result<P, Refused> {
    serde_json::from_value(params)
        .map_err(|error| (ErrorCode::InvalidParams, format!("`{method}` makes no sense: {error}")))
}

fn said(result: &impl Serialize) -> Result<Value, Refused> {
    serde_json::to_value(result).map_err(|error| (ErrorCode::InternalError, error.to_string()))
}

fn capabilities(encoding: Encoding, lens: bool) -> ServerCapabilities {
    ServerCapabilities {
        position_encoding: Some(encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Kind(TextDocumentSyncKind::FULL)),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        completion_provider: Some(CompletionOptions {
            trigger_characters: Some([" ", "=", "(", ",", "\""].map(str::to_owned).to_vec()),
            ..CompletionOptions::default()
        }),
        signature_help_provider: Some(SignatureHelpOptions {
            trigger_characters: Some(["(", ",", "="].map(str::to_owned).to_vec()),
            ..SignatureHelpOptions::default()
        }),
        semantic_tokens_provider: Some(SemanticTokensServerCapabilities::SemanticTokensOptions(
            SemanticTokensOptions {
                legend: tokens::legend(),
                range: Some(true),
                full: Some(SemanticTokensFullOptions::Bool(true)),
                ..SemanticTokensOptions::default()
            },
        )),
        selection_range_provider: Some(SelectionRangeProviderCapability::Simple(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        code_lens_provider: lens.then_some(CodeLensOptions { resolve_provider: None }),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        rename_provider: Some(OneOf::Right(RenameOptions {
            prepare_provider: Some(true),
            work_done_progress_options: Default::default(),
        })),
        document_symbol_provider: Some(OneOf::Left(true)),
        workspace_symbol_provider: Some(OneOf::Left(true)),
        workspace: Some(WorkspaceServerCapabilities {
            workspace_folders: Some(WorkspaceFoldersServerCapabilities {
                supported: Some(true),
                change_notifications: Some(OneOf::Left(true)),
            }),
            file_operations: None,
        }),
        document_highlight_provider: Some(OneOf::Left(true)),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        document_link_provider: Some(DocumentLinkOptions {
            resolve_provider: None,
            work_done_progress_options: Default::default(),
        }),
        document_formatting_provider: Some(OneOf::Left(true)),
        inlay_hint_provider: Some(OneOf::Left(true)),
        code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
            code_action_kinds: Some(vec![CodeActionKind::QUICKFIX]),
            ..CodeActionOptions::default()
        })),
        ..ServerCapabilities::default()
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use serde_json::json;

    use super::*;
    use crate::workshop::Missing;

    /// Files on a disk that comes upon a bug at one name.
    struct Faulty;

    impl Sources for Faulty {
        fn find(&self, path: &Path) -> Result<PathBuf, Missing> {
            if path.ends_with("faulty.heat") {
                bug!("a file is in two places");
            }
            Err(Missing { full: path.to_path_buf(), why: "there is no such file".to_owned() })
        }

        fn text(&self, _: &Path) -> Result<String, String> {
            Err("there is no such file".to_owned())
        }
    }

    const BAR: &str = "stock b = 1 bar of 1084, 4 x 40 x 100 mm\n";

    fn tell(server: &mut Server, method: &str, params: Value) {
        server.take(Message::Notification(Notification::new(method.to_owned(), params)));
    }

    /// What the server answers, as JSON.
    fn ask(server: &mut Server, method: &str, params: Value) -> Value {
        server.take(Message::Request(Request::new(RequestId::from(7), method.to_owned(), params)));
        let answer = server.outgoing().pop().unwrap();
        serde_json::to_value(answer).unwrap()
    }

    fn started() -> Server {
        let mut server = Server::new(Box::new(Faulty), false, None);
        ask(&mut server, "initialize", json!({ "capabilities": {} }));
        server
    }

    fn open(server: &mut Server, name: &str, text: &str) -> Value {
        let document = json!({ "uri": name, "languageId": "heatbook", "version": 1, "text": text });
        tell(server, "textDocument/didOpen", json!({ "textDocument": document }));
        server.settle();
        let told: Vec<Value> = server.outgoing().iter().map(|m| serde_json::to_value(m).unwrap()).collect();
        json!(told)
    }

    #[test]
    fn a_text_that_comes_upon_a_bug_says_so_and_all_documents_are_kept() {
        let mut server = started();
        let good = open(&mut server, "file:///forge/good.heat", BAR);
        assert_eq!(good[0]["params"]["diagnostics"], json!([]));
        let bad = open(&mut server, "file:///forge/bad.heat", "use \"faulty.heat\"\n").to_string();
        assert!(bad.contains("a file is in two places") && bad.contains("src/editor/server.rs:"), "{bad}");
        let of = |name: &str| json!({ "textDocument": { "uri": name } });
        let symbols = ask(&mut server, "textDocument/documentSymbol", of("file:///forge/good.heat"));
        assert_eq!(symbols["result"][0]["name"], "stock b");
        // The words at fault are changed, and all is well.
        let change = json!({ "textDocument": { "uri": "file:///forge/bad.heat", "version": 2 }, "contentChanges": [{ "text": BAR }] });
        tell(&mut server, "textDocument/didChange", change);
        let symbols = ask(&mut server, "textDocument/documentSymbol", of("file:///forge/bad.heat"));
        assert_eq!(symbols["result"][0]["name"], "stock b");
    }

    #[test]
    fn a_request_that_comes_upon_a_bug_is_answered_with_an_internal_error() {
        let mut server = started();
        open(&mut server, "file:///forge/good.heat", BAR);
        let answered = server.safely(|_| bug!("a name has no place"));
        let (code, message) = answered.unwrap_err();
        assert_eq!(code as i32, ErrorCode::InternalError as i32);
        assert!(message.contains("a name has no place") && message.contains("please report it"), "{message}");
        let of = json!({ "textDocument": { "uri": "file:///forge/good.heat" } });
        assert_eq!(ask(&mut server, "textDocument/documentSymbol", of)["result"][0]["name"], "stock b");
    }
}
