/** Which answer stands: the quick formula's until the section model's is there. Pure. */

const ended = (job) => job && ["done", "failed", "cancelled"].includes(job.state);
const atWork = (job) => Boolean(job) && !ended(job);

/** Whether a job was asked with these options of the draft as it is. */
export const belongs = (job, revision, options) =>
  Boolean(job) && job.revision === revision && Object.keys(options).every((k) => (job.options?.[k] ?? "") === options[k]);

/**
 * @param {{quick: object|null, plan: object|null, press: string}} of  the two jobs where they belong to the draft as it is, else null
 * @returns {{state: "none"|"planning"|"quick"|"quick-left"|"section"|"closed"|"failed"|"stopped", job: object|null, words: string, why: string}}
 *   `job` the one whose answer stands; `why` of "closed": no_press, shop or law
 */
export function standing({ quick, plan, press }) {
  const words = (job) => (job?.faults?.length ? job.faults.map((f) => f.say).join(" ") : (job?.words ?? ""));
  const of = (state, job, said = "", why = "") => ({ state, job, words: said, why });
  if (plan?.state === "done") {
    if (plan.result.inputs?.model === "section" && plan.result.block.undercut_pressure_mpa !== null) return of("section", plan);
    return of("closed", plan, "", press ? (plan.result.inputs?.model === "section" ? "law" : "shop") : "no_press");
  }
  if (quick?.state === "done") return atWork(plan) || !plan ? of("quick", quick, words(plan)) : of("quick-left", quick, words(plan));
  if (atWork(quick) || atWork(plan)) return of("planning", null, words(atWork(quick) ? quick : plan));
  const bad = [plan, quick].find((job) => job?.state === "failed");
  if (bad) return of("failed", null, words(bad));
  if (plan?.state === "cancelled" || quick?.state === "cancelled") return of("stopped", null, words(plan ?? quick));
  return of("none", null);
}
