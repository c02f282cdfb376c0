/** Draws of quality visits in tests: announced by one person of an office and drawn by another. */
import { asKey, officeKey } from './rule-sets.ts'
import type { TestService } from './service.ts'

export interface Terms {
  readonly testedFrom: string
  readonly testedUntil: string
  readonly shareAtRandom: number
  readonly shareByWeight: number
  readonly daysToTest: number
}

/** All tests of these years are drawn. */
export const ALL_TESTS: Terms = {
  testedFrom: '2020-01-01',
  testedUntil: '2029-12-31',
  shareAtRandom: 1,
  shareByWeight: 0,
  daysToTest: 45,
}

const done = <B>({ status, body }: { readonly status: number; readonly body: B }, what: string): B => {
  if (status === 200 || status === 201) return body
  throw new Error(`${what} answered ${status}: ${JSON.stringify(body)}`)
}

/** Announces a draw with this key; answers its id. */
export async function announce(service: TestService, key: string, terms: Terms = ALL_TESTS): Promise<string> {
  const answer = await asKey<{ id: string }>(service, key, 'POST /v1/quality-draws', terms)
  return done(answer, 'The announcement').id
}

/** A draw that is drawn, with the ids of its visits; and one that is not. By persons of the office of the program. */
export async function visitsToRead(service: TestService, programId: string) {
  const announcer = await officeKey(service, programId, 'P-7')
  const drawer = await officeKey(service, programId, 'P-8')
  const drawId = await announce(service, announcer)
  done(await asKey(service, drawer, `POST /v1/quality-draws/${drawId}/drawing`), 'The drawing')
  const visits = await asKey<{ items: { id: string }[] }>(service, drawer, `GET /v1/quality-draws/${drawId}/visits`)
  return { drawId, drawToDrawId: await announce(service, announcer), visitId: done(visits, 'The list').items[0]!.id }
}
