// What stands at the foot: whether there is signal, how old is what is seen, and what is sent.
import { $, tell } from "./dom.js";
import { gettext, ngettext } from "./words.js";

// The page asks every 20 seconds: without an answer for this long what it shows may be old, whatever it knows of signal.
const OLD_MINUTES = 2;

export function makeSignal(floor) {
  const { known, serverNow, clockAt } = floor;

  // The last answer of the server; a day kept from before may not say it.
  const heard = () => known.day.heard || known.day.now;
  const age = () => Math.floor((serverNow() - new Date(heard())) / 60000);

  function ageWords() {
    const minutes = age();
    if (minutes < 1) return "";
    return minutes < 120 ? ngettext("What you see is %(n)s minute old.", "What you see is %(n)s minutes old.", minutes)
      : ngettext("What you see is %(n)s hour old.", "What you see is %(n)s hours old.", Math.floor(minutes / 60));
  }

  // Nothing while the server answers.
  function signalWords() {
    if (!known.signal) {
      const since = { time: clockAt(heard()) };
      const why = known.trouble ? gettext("%(trouble)s Last answer at %(time)s.", { trouble: known.trouble, ...since }) : gettext("No signal since %(time)s.", since);
      return `${why} ${ageWords()}`.trim();
    }
    return age() >= OLD_MINUTES ? ageWords() : "";
  }

  function paint() {
    if (!known.day || known.gone) return;
    const count = known.pending.length;
    const why = known.full ? gettext("This phone is out of space. Your last tap wasn’t saved, so write it on paper.")
      : known.lost ? ngettext("%(n)s saved entry can’t be read. Check the list and tap again anything that’s missing.", "%(n)s saved entries can’t be read. Check the list and tap again anything that’s missing.", known.lost)
      : !known.dayKept ? gettext("This phone is out of space to save today’s clinic. Leave this page open.") : "";
    // While the server answers, an entry is on its way in a moment: few words, so that the foot stays as high as it is.
    const waiting = count && known.signal ? ngettext("Sending %(n)s entry…", "Sending %(n)s entries…", count)
      : count ? ngettext("%(n)s entry is saved on this phone and will be sent automatically.", "%(n)s entries are saved on this phone and will be sent automatically.", count)
      : known.signal ? gettext("Everything has been sent.") : gettext("Nothing to send.");
    const refused = known.refused.length
      ? ngettext("%(n)s entry wasn’t accepted. See Close the day.", "%(n)s entries weren’t accepted. See Close the day.", known.refused.length) : "";
    const words = [why, signalWords(), waiting, refused].filter(Boolean).join(" ");
    if ($("kept").textContent !== words) $("kept").textContent = words;
    // Such words take a line of their own, where the foot is narrow.
    $("foot").classList.toggle("much", words.length > 40);
  }

  // Out of a pocket, without signal: said aloud, because nothing on the page may have changed.
  function woke() {
    if (known.day && !known.gone && !known.signal) tell(signalWords());
  }

  return { paint, woke };
}
