// A shop for the tests: its recipes, the servers that are started over them, and what every test is held to.
import { after, test } from "node:test";

import { PATIENCE, Session } from "./client.mjs";

export const RODS = `let skin = 1.5 mm
# A rod of two steels, laid by turns.
recipe rod(
  leaves: count = 3, # leaves of the dark steel
  broad: length = 30 mm
) {
  stock coal = leaves bars of 1084, 4 mm x broad x 150 mm
  stock frost = 2 bars of 15N20, 2 mm x broad x 150 mm
  stack pile = alternate coal, frost
  weld pile at 1220 C, thinning 15 %, heats 3
  give pile
}
`;
export const OYSTER = `use "rods.heat"
shop {
  forge gas, 1120 C
}
# For oysters: short and stout.
# Two come out of one rod.
let spare = 8 mm
stock knife = rod(leaves = 3, broad = 32 mm)
draw knife to 10 mm thick, 30 mm wide, heats 3
cut knife spare off each end
cut knife into short, long
grind short faces skin
repeat 2 {
  grind long edges 0.5 mm
}
target short {
  width  >= 25 mm everywhere
  layers = 5
}
`;
export const SPINE = 'use "rods.heat"\nstock spine = rod()\ngrind spine edges skin\n';
export const BAR = "stock blade = 1 bar of 1084, 6 x 40 x 120 mm\ngrind blade edges 2 mm\n";
export const FILES = { "rods.heat": RODS, "spine.heat": SPINE };

/** The sessions that are to be gone when all is done. */
export const sessions = [];
after(() => sessions.forEach((session) => session.drop()));

/** A server of a test's own, with the recipes beside it. */
export async function start(wishes) {
  const session = await Session.start({ files: FILES, ...wishes });
  sessions.push(session);
  return session;
}

let shared;
/** A server takes a while to come up: tests that change no file share one, each with documents of its own. */
export function shop() {
  shared ??= start().then(async (session) => ({
    session,
    oyster: await session.open("oyster.heat", OYSTER),
  }));
  return shared;
}

export function drives(name, body) {
  test(name, { timeout: 3 * PATIENCE }, body);
}
