// What to mind at once, by the sort of an incident. A lead helps within their training, and the local plan comes first.
import { gettext } from "./words.js";

// Head: CDC HEADS UP, coach's sheet: remove from play; out on the same day and until cleared by a health-care provider;
// record; tell the parent. The wording is ours. The others are general first aid as courses teach it, from memory.
const steps = {
  head: () => [
    gettext("Take them out of play now, even if they say they feel fine."),
    gettext("They’re out for the rest of the day, and until a health care provider clears them."),
    gettext("Call or talk to the guardian today. Say what you saw."),
    gettext("Call 911 for: worse headache, vomiting, confusion, a seizure, one pupil larger than the other, or you can’t wake them."),
    gettext("Don’t diagnose. Leave that to a licensed provider."),
  ],
  breathing: () => [
    gettext("Sit them up. Stay with them and keep others back."),
    gettext("Help them use their own inhaler, if they have one."),
    gettext("Call 911 for: can’t speak a full sentence, blue or gray lips, no better after the inhaler, or you don’t know why it started. If they stop breathing, start CPR and send for the AED."),
  ],
  seizure: () => [
    gettext("Move hard things away. Cushion the head and turn them on their side."),
    gettext("Don’t hold them down. Put nothing in their mouth."),
    gettext("Look at the clock. Call 911 for: 5 minutes or longer, a first seizure, a second one, an injury, or trouble breathing or waking up afterward."),
  ],
  allergy: () => [
    gettext("Call 911 at once for: trouble breathing, swelling of the face, lips, or tongue, vomiting with hives, or fainting."),
    gettext("Help them use their own epinephrine auto-injector, if they have one. Then always call 911."),
    gettext("Lay them down; if breathing is hard, let them sit. Don’t let them get up and walk."),
  ],
  bleeding: () => [
    gettext("Wear gloves. Push down hard on the wound with a clean cloth, and don’t let go."),
    gettext("If blood soaks through, put more cloth on top. Leave in anything that’s stuck in the wound."),
    gettext("Call 911 for: blood that spurts or won’t stop after 10 minutes of pressing, a deep wound, or they turn pale, cold, or sleepy."),
  ],
  other: () => [
    gettext("Stay with them until their guardian is there."),
    gettext("Call 911 for: anything that may threaten a life, or if you’re not sure."),
  ],
};

export const cautions = (sort) => [...steps[sort](), gettext("Stay within your training. Your local emergency plan comes first.")];
