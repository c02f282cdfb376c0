/** Visits of the invented basin to one plant, before and after its repair, and the records their sheets name. */
import { readFileSync } from 'node:fs'
import type { Caller, TestService } from './service.ts'

interface Coded {
  readonly code: string
}
interface BasinFirm {
  readonly plants: readonly Coded[]
  readonly testers: readonly Coded[]
  readonly instruments: readonly Coded[]
}

const read = (file: string): unknown => JSON.parse(readFileSync(new URL(`../../seed/${file}`, import.meta.url), 'utf8'))

const [owner] = (read('basin.json') as { firms: readonly BasinFirm[] }).firms

/** The plant of both visits, with its equipment. */
export const repairedPlant = owner!.plants.find(({ code }) => code === 'AM-12')!
/** What each firm registers for itself. */
export const { testers, instruments } = owner!
export const beforeRepair = read('visits/before-repair.json') as object & { readonly testedOn: string }
export const afterRepair = read('visits/after-repair.json') as object & { readonly testedOn: string }

/** Registers the people and instruments of the visits; the plant too where it is new. */
export async function registerForVisits(service: TestService, caller: Caller, plantIsNew: boolean): Promise<void> {
  const all: [string, readonly Coded[]][] = [
    ['plants', plantIsNew ? [repairedPlant] : []],
    ['testers', testers],
    ['instruments', instruments],
  ]
  for (const [noun, records] of all) {
    for (const body of records) {
      const { status } = await service.call(caller, `POST /v1/${noun}`, { body })
      if (status !== 201) throw new Error(`${noun} ${body.code} answered ${status}`)
    }
  }
}

/** Submits a sheet and answers the wire id of the test. */
export async function submitVisit(service: TestService, caller: Caller, sheet: object): Promise<string> {
  const { status, body } = await service.call<{ id: string }>(caller, 'POST /v1/tests', { body: sheet })
  if (status !== 201) throw new Error(`The visit answered ${status}: ${JSON.stringify(body)}`)
  return body.id
}
