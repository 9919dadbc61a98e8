//! `heatbook lsp`: the language server. The streams are here; what is said is in `editor`.

use std::collections::VecDeque;
use std::io::{BufReader, Write as _};
use std::sync::mpsc::{Receiver, TryRecvError, sync_channel};

use clap::Args;

use super::exit::Exit;
use super::output::{Options, warn_line};
use crate::editor::{Broken, Come, Server, State, receive, refuse, send};

/// Serves an editor over standard input and output, until the editor says that it goes.
#[derive(Args, Debug)]
pub struct Lsp {
    /// Taken and passed over: the streams are all that there is (some editors say so)
    #[arg(long, hide = true)]
    stdio: bool,
}

/// Messages that may wait: an editor that sends more is made to wait itself (project figure).
const WAITING: usize = 256;

type Heard = Result<Option<Come>, Broken>;

impl Lsp {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let (told, heard) = sync_channel::<Heard>(WAITING);
        std::thread::spawn(move || {
            let mut from = BufReader::new(std::io::stdin().lock());
            loop {
                let message = receive(&mut from);
                let last = !matches!(message, Ok(Some(_)));
                if told.send(message).is_err() || last {
                    return;
                }
            }
        });
        let server = Server::new(Box::new(options.clone()), options.allow_outside, options.units_asked());
        Conversation { server, heard, waiting: VecDeque::new(), ended: None }.run()
    }
}

struct Conversation {
    server: Server,
    heard: Receiver<Heard>,
    waiting: VecDeque<Come>,
    /// How the stream ended, once it has.
    ended: Option<Result<(), Broken>>,
}

impl Conversation {
    fn run(mut self) -> Exit {
        loop {
            if self.waiting.is_empty() {
                match self.heard.recv() {
                    Ok(heard) => self.hear(heard),
                    Err(_) => self.ended = self.ended.or(Some(Ok(()))),
                }
            }
            // A burst of keystrokes is one: what it comes to is told once, after the last.
            self.hear_all();
            while let Some(come) = self.waiting.pop_front() {
                match come {
                    Ok(message) => self.server.take(message),
                    Err(why) if refuse(&mut std::io::stdout().lock(), &why).is_err() => return Exit::Fault,
                    Err(_) => {}
                }
                if let State::Gone(said) = self.server.state() {
                    self.send();
                    return if said { Exit::Met } else { Exit::Fault };
                }
            }
            self.server.settle();
            if !self.send() {
                return Exit::Fault;
            }
            if let Some(ended) = self.ended.take() {
                return self.end(ended);
            }
            let Conversation { server, heard, waiting, ended } = &mut self;
            server.ponder(&mut || {
                // Asked once more it takes nothing: what has come is kept, and what comes then is not lost.
                if !waiting.is_empty() || ended.is_some() {
                    return false;
                }
                match heard.try_recv() {
                    Ok(Ok(Some(come))) => {
                        waiting.push_back(come);
                        false
                    }
                    Ok(Ok(None)) => {
                        *ended = Some(Ok(()));
                        false
                    }
                    Ok(Err(broken)) => {
                        *ended = Some(Err(broken));
                        false
                    }
                    Err(TryRecvError::Empty) => true,
                    Err(TryRecvError::Disconnected) => false,
                }
            });
            if !self.send() {
                return Exit::Fault;
            }
        }
    }

    fn hear(&mut self, heard: Heard) {
        match heard {
            Ok(Some(come)) => self.waiting.push_back(come),
            Ok(None) => self.ended = Some(Ok(())),
            Err(broken) => self.ended = Some(Err(broken)),
        }
    }

    fn hear_all(&mut self) {
        while self.waiting.len() < WAITING
            && let Ok(heard) = self.heard.try_recv()
        {
            self.hear(heard);
        }
    }

    /// An editor that goes without a word has most likely come to grief.
    fn end(&mut self, ended: Result<(), Broken>) -> Exit {
        match ended {
            Ok(()) => Exit::Fault,
            Err(broken) => {
                warn_line(&broken.to_string());
                Exit::Usage
            }
        }
    }

    fn send(&mut self) -> bool {
        let mut to = std::io::stdout().lock();
        let sent = self.server.outgoing().iter().try_for_each(|message| send(&mut to, message));
        sent.and_then(|()| to.flush()).is_ok()
    }
}
