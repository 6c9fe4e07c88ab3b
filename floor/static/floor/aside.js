// Entries that weren’t accepted: they stay on this phone, with the reason, until the phone is erased.

export function makeAside({ known, store }) {
  const dropped = (id) => known.refused.filter((one) => one.id !== id);

  async function setAside(one, why) {
    const aside = { ...one, why };
    known.refused = [...dropped(one.id), aside];
    known.pending = known.pending.filter(({ id }) => id !== one.id);
    try {
      await store.keep("refused", one.id, aside);
      await store.forget("log", [one.id]);
    } catch (problem) {
      // Without room to move it, it stays where it is, and is shown all the same.
      console.warn(problem);
    }
  }

  // Back among those that wait to be sent.
  async function takeUp(id) {
    const { why: _, ...entry } = known.refused.find((one) => one.id === id);
    await store.keep("log", id, entry);
    await store.forget("refused", [id]);
    known.refused = dropped(id);
    known.pending.push(entry);
  }

  // Of what the log holds, what is still to be sent.
  function toSend(logged) {
    const ids = new Set(known.refused.map((one) => one.id));
    return logged.filter((one) => !ids.has(one.id));
  }

  return { setAside, takeUp, toSend };
}
