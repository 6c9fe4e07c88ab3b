// What time it is: by the server's clock, and as the clinic's place writes it.
import { hourCycle, localeOf } from "./words.js";

// `known.day` may be another one each time it is asked.
export function makeTimes(known) {
  const offset = () => known.day?.offset || 0;
  return {
    // The phone's clock may be a day wrong; the server's answers say by how much.
    serverNow: () => new Date(Date.now() + offset()),
    // A time that can't be read is none: now.
    ours: (at) => new Date((Date.parse(at) || Date.now()) + offset()).toISOString(),
    clockAt: (iso) => new Date(iso).toLocaleTimeString(localeOf(), { hour: "2-digit", minute: "2-digit", hourCycle: hourCycle(), timeZone: known.day.clinic.zone }),
    clinicDay: () => new Date(known.day.clinic.starts_at).toLocaleDateString("sv-SE", { timeZone: known.day.clinic.zone }),
  };
}
