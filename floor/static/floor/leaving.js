// Leaving: first everything is wiped, then the server is told, now or when there is signal again.
import { gettext } from "./words.js";

const left = () => gettext("This clinic’s data has been erased from this phone.");

// `page.untold(is)` says, or no longer says, that the office has not heard of it yet.
export function makeLeaving({ pk, store, ask, sync, page }) {
  let untold = false;

  async function leavePhone() {
    await store.keepLeft(sync.known.day.phone);
    await sync.wipe(left());
    untold = true;
    await tellLeft();
  }

  // Until the server has heard that this phone left, it opens no day, whatever its cookie still allows. "open": a new link
  // was opened on it since.
  async function tellLeft() {
    try {
      const number = await store.leftPhone();
      if (number !== undefined) {
        const answer = await ask("leave", { phone: number });
        if (!answer.ok && answer.status !== 401) throw new Error(`The server answered ${answer.status}.`);
        untold = false;
        await store.forgetLeft();
        if (answer.ok && (await answer.json()).open) return "open";
      }
      untold = false;
      page.untold(false);
      return "told";
    } catch (problem) {
      console.warn(problem);
      untold = true;
      page.untold(true);
      // Where the browser can, also with this page closed.
      const worker = await navigator.serviceWorker?.getRegistration("/floor/");
      await worker?.sync?.register(`leave-${pk}-${await store.leftPhone()}`).catch(() => {});
      return "untold";
    }
  }

  return {
    leavePhone, tellLeft,
    hasLeft: async () => (await store.leftPhone()) !== undefined,
    shutAsLeft: () => sync.shut(left()),
    isUntold: () => untold,
  };
}
