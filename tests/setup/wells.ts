/** Wells and visits for the tests of work lists. */

import { dayInUtc } from '../../packages/service/src/work-lists/days.ts'
import { type Caller, startTestService, type TestService } from './service.ts'
import { registerContext, sheetWith, visitContext } from './visit.ts'

type Changes = Readonly<Record<string, unknown>>

const consent = { givenAt: '2026-05-12T09:30:00-07:00', by: 'grower', evidence: 'CONS-1' }

export interface World {
  readonly service: TestService
  /** Wire ids by code, and of tests by code and day. */
  readonly plantIds: Record<string, string>
  readonly tests: Record<string, string>
  today(): string
  /** Creates something; answers its id. */
  made(caller: Caller, route: `${string} ${string}`, body: unknown): Promise<string>
  /** Registers a well of firm A, like that of the visit. */
  plant(code: string, reference: string, region: string): Promise<void>
  /** Firm A makes the visit at another plant on another day. */
  visit(code: string, day: string, changes?: Changes): Promise<string>
  give(test: string): Promise<string>
  read<B>(caller: Caller, route: string): Promise<B>
}

/** A service with the plant and the people of the visit. */
export async function startWorld(): Promise<World> {
  const service = await startTestService()
  const plantIds: Record<string, string> = { 'AM-01': (await registerContext(service, 'firmA')).plantId }
  const tests: Record<string, string> = {}
  const made: World['made'] = async (caller, route, body) => {
    const answer = await service.call<{ id: string }>(caller, route, { body })
    if (answer.status !== 201) throw new Error(`${route} answered ${answer.status}: ${JSON.stringify(answer.body)}`)
    return answer.body.id
  }
  return {
    service,
    plantIds,
    tests,
    made,
    today: () => dayInUtc(service.deps.now()),
    async plant(code, reference, region) {
      const { revision: _, ...equipment } = visitContext.plant.equipment!
      plantIds[code] = await made('firmA', 'POST /v1/plants', { code, kind: 'well', region, reference, equipment })
    },
    async visit(code, day, changes = {}) {
      const sheet = JSON.stringify(sheetWith({ '/plant': code, ...changes })).replaceAll('2026-05-12', day)
      const id = await made('firmA', 'POST /v1/tests', sheet)
      tests[`${code} ${day}`] = id
      return id
    },
    give: (test) => made('firmA', `POST /v1/tests/${test}/programs`, { programId: service.program, consent }),
    async read<B>(caller: Caller, route: string) {
      const { status, body } = await service.call<B>(caller, `GET ${route}`)
      if (status !== 200) throw new Error(`${route} answered ${status}: ${JSON.stringify(body)}`)
      return body
    },
  }
}
