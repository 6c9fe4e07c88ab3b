// Which of this page's entries can be undone at the foot, the last one last.

// `done`: {id, words} of what was tapped. An entry counts while it waits to be sent, or while what the server says of the
// floor still names it: one that was undone in another way, here or on another phone, is named no more.
export function canUndo(done, { pending, state }) {
  const undone = new Set(pending.filter((one) => one.kind === "undo").map((one) => one.facts.of));
  const waits = new Set(pending.map((one) => one.id));
  const named = JSON.stringify(state);
  return done.filter(({ id }) => !undone.has(id) && (waits.has(id) || named.includes(id)));
}
