/** Quality visits for the honest record: drawn, assigned to a firm of their own, taken back, let go. */
import type { Chance } from './chance.ts'

export type Made = { readonly id: string }
/** Calls a route as somebody; throws unless it answers as due. */
export type Call = <B = Made>(
  key: string,
  route: string,
  body?: unknown,
  headers?: Record<string, string>,
) => Promise<B>

const TERMS = {
  testedFrom: '2020-01-01',
  testedUntil: '2029-12-31',
  shareAtRandom: 0.3,
  shareByWeight: 0.2,
  daysToTest: 45,
}

interface Visit {
  readonly id: string
  readonly plantId: string
}

/** One draw by two persons, and what becomes of its visits. */
export async function drawVisits(call: Call, admin: string, programId: string, chance: Chance): Promise<void> {
  const keyOf = async (holder: string): Promise<string> =>
    (await call<{ key: string }>(admin, 'POST /v1/keys', { role: 'program', programId, name: 'Office', holder })).key
  const [announcer, drawer] = [await keyOf('P-3'), await keyOf('P-4')]
  const draw = await call(announcer, 'POST /v1/quality-draws', TERMS)
  // One in a few stays announced.
  if (chance.below(5) === 0) return
  await call(drawer, `POST /v1/quality-draws/${draw.id}/drawing`)
  const { items } = await call<{ items: Visit[] }>(drawer, `GET /v1/quality-draws/${draw.id}/visits?limit=200`)
  const firm = await call(admin, 'POST /v1/firms', { name: `Firm that tests again, ${draw.id} (invented)` })
  for (const { id, plantId } of items) {
    const step = (body: object) => call(drawer, `POST /v1/quality-visits/${id}/steps`, body)
    const then = chance.below(4)
    if (then === 0) continue
    await call(admin, `POST /v1/plants/${plantId}/access`, { firmId: firm.id })
    await step({ step: 'assigned', firmId: firm.id })
    if (then === 1) continue
    await step(then === 2 ? { step: 'taken-back' } : { step: 'let-go', reason: 'plant-changed' })
  }
}
