//! The machine that does a step: what it can press or strike with, and how often.

use crate::quantity::{KindOf, Q, show_count};
use crate::steel::laws::hammer;

use crate::forge::limits::PASS;
use crate::forge::words::shop::{Machine, MachineKind};
use crate::forge::{Cx, Outcome, Sink};

/// Strokes of a press a minute where none are stated (project figure: slow to close, so about one in 4 s).
const STROKES: f64 = 15.0;
/// Blows of a power hammer a minute where none are stated (middle of the 70 to 190 of small self-contained ones).
const POWER_BLOWS: f64 = 130.0;
/// Blows by hand a minute where none are stated: the middle of 40 to 60 in bursts (from memory).
const HAND_BLOWS: f64 = 50.0;
/// Passes through rolls a minute (project figure: pass it through, bring it back).
const PASSES: f64 = 10.0;
/// Head of a hand hammer where none is stated, g (project figure).
const HEAD_G: f64 = 1500.0;
/// Speed of a hand hammer at the blow, m/s (from memory).
const HAND_SPEED: f64 = 8.0;
/// Speed of a press ram on its working stroke, mm/s (project figure).
const PRESS_SPEED: f64 = 20.0;
/// Speed at which a bar runs through rolls, mm/s (project figure).
const ROLL_SPEED: f64 = 100.0;
/// Share of a blow that shapes steel: in the range of small work on a light anvil, 0.2 to 0.5 (from memory).
const USEFUL: f64 = 0.4;
/// Share of a heat in which a power hammer strikes: the rest goes by with turning, gauging and straightening (project
/// figure). The strokes of a press and the blows of a hand are counted as they come.
const STRIKES: f64 = 0.4;
/// Anvil over ram: 15 to 1, usual of power hammers (from memory).
const ANVIL: f64 = 15.0;

/// Log strain of a pass under a press: 20 % off the thickness; a small one takes 1/4 to 1/2 in off a stack of 2 in at one bite (common practice).
const PRESS_PASS: f64 = 0.223_143_551_314_209_7;

/// Makes sure that a figure, where it is stated, is one that a machine can have.
fn above_nothing<K: KindOf, S: Sink>(cx: &Cx<S>, q: Option<Q<K>>) -> Outcome {
    let Some(q) = q else { return Ok(()) };
    let help = "write what its plate says, or leave this out";
    cx.above_nothing(q, cx.span(q), "a figure of a machine must be above nothing", help).map(|_| ())
}

/// A machine with its figures.
#[derive(Clone, Copy, Debug)]
pub struct Rig<'a> {
    /// The shop's entry.
    pub machine: &'a Machine,
    /// What a press is rated for, kN.
    pub force_kn: Option<f64>,
    /// What a blow gives to the steel, J.
    pub blow_j: Option<f64>,
    /// Strokes, blows or passes a minute.
    pub rate: f64,
}

impl<'a> Rig<'a> {
    /// Reads a machine's figures, and lists the ones that it leaves unsaid.
    ///
    /// # Errors
    /// `no_size`: one that no machine can have.
    pub fn of<S: Sink>(cx: &mut Cx<'a, S>, machine: &'a Machine) -> Outcome<Rig<'a>> {
        let kind = machine.kind;
        for length in [machine.opening, machine.tool] {
            above_nothing(cx, length)?;
        }
        above_nothing(cx, machine.force)?;
        above_nothing(cx, machine.ram)?;
        above_nothing(cx, machine.rate)?;
        let grams = machine.ram.map(|q| cx.get(q));
        let blow_j = match kind {
            MachineKind::PowerHammer => Some(power_blow_j(grams.unwrap_or(40_000.0) / 1000.0) * USEFUL),
            MachineKind::Hammer => {
                let kg = grams.unwrap_or(HEAD_G) / 1000.0;
                Some(hammer::blow_energy_j(kg, HAND_SPEED) * USEFUL)
            }
            MachineKind::Press | MachineKind::Rolls => None,
        };
        let blow_j = blow_j.map(|j| j * hammer::anvil_efficiency(ANVIL, 1.0));
        let (what, usual) = match kind {
            MachineKind::Press => ("strokes a minute", STROKES),
            MachineKind::PowerHammer => ("blows a minute", POWER_BLOWS),
            MachineKind::Hammer => ("blows by hand a minute", HAND_BLOWS),
            MachineKind::Rolls => ("passes through the rolls a minute", PASSES),
        };
        let rate = match machine.rate.map(|q| cx.get(q)) {
            Some(rate) => rate,
            None => {
                cx.book.assume(what, || usual.to_string(), "project figure");
                usual
            }
        };
        if let (Some(j), true) = (blow_j, S::KEEPS) {
            let shown = || format!("{j:.0} J of it shape the steel");
            cx.book.assume("a blow", shown, "energy by ram and useful share of a blow, from memory");
        }
        Ok(Rig { machine, force_kn: machine.force.map(|q| cx.get(q)), blow_j, rate })
    }

    /// Seconds of one stroke, blow or pass.
    pub fn seconds(&self) -> f64 {
        let share = if self.machine.kind == MachineKind::PowerHammer { STRIKES } else { 1.0 };
        60.0 / self.rate / share
    }

    /// Log strain of one pass over the bar.
    pub fn pass(&self) -> f64 {
        if self.machine.kind == MachineKind::Press { PRESS_PASS } else { PASS }
    }

    /// Rate of strain, 1/s, of a bar of this thickness, mm.
    pub fn strain_rate(&self, thick: f64) -> f64 {
        let speed = match self.machine.kind {
            MachineKind::Press => PRESS_SPEED,
            MachineKind::Hammer => HAND_SPEED * 500.0,
            // A ram slows to nothing in the blow: half its speed, about 5 m/s (from memory).
            MachineKind::PowerHammer => 2500.0,
            MachineKind::Rolls => ROLL_SPEED / 4.0,
        };
        speed / thick
    }

    /// Seconds that a die touches the steel in one stroke (from memory).
    pub fn touch_s(&self) -> f64 {
        match self.machine.kind {
            MachineKind::Press => 0.5,
            MachineKind::Hammer | MachineKind::PowerHammer => 0.005,
            MachineKind::Rolls => 0.1,
        }
    }

    /// The machine in a smith's words: "this press", "this hammer".
    pub fn word(&self) -> &'static str {
        match self.machine.kind {
            MachineKind::Press => "press",
            MachineKind::PowerHammer => "power hammer",
            MachineKind::Hammer => "hammer",
            MachineKind::Rolls => "mill",
        }
    }

    /// How often it strikes, in a smith's words.
    pub fn paced(&self) -> String {
        let noun = match self.machine.kind {
            MachineKind::Press => "strokes",
            MachineKind::Hammer | MachineKind::PowerHammer => "blows",
            MachineKind::Rolls => "passes",
        };
        format!("{} {noun} a minute", self.rate)
    }

    /// So many strokes, blows or passes.
    pub fn strokes(&self, count: u64) -> String {
        let noun = match self.machine.kind {
            MachineKind::Press => "stroke",
            MachineKind::Hammer | MachineKind::PowerHammer => "blow",
            MachineKind::Rolls => "pass",
        };
        if noun == "pass" && count != 1 { format!("{count} passes") } else { show_count(count, noun) }
    }
}

/// Energy of a full blow of a power hammer, J; outside 40 to 250 kg in proportion to the nearer end (from memory).
fn power_blow_j(kg: f64) -> f64 {
    let [(low, low_j), .., (high, high_j)] = hammer::SMALL_HAMMERS;
    if kg < low {
        low_j * kg / low
    } else if kg > high {
        high_j * kg / high
    } else {
        hammer::small_hammer_energy_j(kg)
    }
}
