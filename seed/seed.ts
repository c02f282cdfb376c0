/** Fills a service with the invented Ambermoor Basin, through the same routes that everyone uses. */
import { readFileSync } from 'node:fs'
import { Liftledger } from '@liftledger/sdk'
import type { Service } from '@liftledger/service'
import { createKey } from '@liftledger/service/keys'
import { giveTests, type SeededProgram, seedPrograms } from './programs.ts'

type Body<K extends 'plants' | 'testers' | 'instruments'> = Exclude<
  Parameters<Liftledger[K]['create']>[0],
  string | Uint8Array
>

interface BasinFile {
  readonly firms: readonly {
    readonly name: string
    readonly testers: readonly Body<'testers'>[]
    readonly instruments: readonly Body<'instruments'>[]
    readonly plants: readonly Body<'plants'>[]
    /** Codes of plants of another firm that this firm has access to as well. */
    readonly shares?: readonly string[]
  }[]
}

export interface Basin {
  readonly adminKey: string
  readonly auditorKey: string
  /** They were given the first of the earlier tests. */
  readonly programs: readonly SeededProgram[]
  readonly firms: readonly { readonly name: string; readonly id: string; readonly key: string }[]
  readonly counts: {
    readonly plants: number
    readonly testers: number
    readonly instruments: number
    readonly tests: number
  }
}

const read = (file: string): unknown => JSON.parse(readFileSync(new URL(file, import.meta.url), 'utf8'))

/** Visits of earlier months: one plant before and after its repair. */
const EARLIER_VISITS = ['visits/before-repair.json', 'visits/after-repair.json']

/** Registers programs with their rules, firms, plants, people and instruments, and submits the earlier visits. */
export async function seedBasin(service: Service): Promise<Basin> {
  const file = read('basin.json') as BasinFile
  const adminKey = (await createKey(service.deps, { role: 'admin', name: 'administrator of the demo' })).key
  const auditorKey = (await createKey(service.deps, { role: 'auditor', name: 'auditor of the demo' })).key
  const admin = new Liftledger({ baseUrl: service.url, apiKey: adminKey })
  const programs = await seedPrograms(service.url, adminKey)

  const counts = { plants: 0, testers: 0, instruments: 0, tests: 0 }
  const firms: { name: string; id: string; key: string }[] = []
  for (const entry of file.firms) {
    const { id } = await admin.firms.create({ name: entry.name })
    const { key } = await admin.keys.create({ role: 'firm', firmId: id, name: `${entry.name}, field software` })
    firms.push({ name: entry.name, id, key })
    const firm = new Liftledger({ baseUrl: service.url, apiKey: key })
    for (const tester of entry.testers) await firm.testers.create(tester)
    for (const instrument of entry.instruments) await firm.instruments.create(instrument)
    for (const plant of entry.plants) await firm.plants.create(plant)
    for (const code of entry.shares ?? []) {
      const { items } = await admin.plants.list({ code })
      await admin.plants.grantAccess(items[0]!.id, { firmId: id })
    }
    counts.testers += entry.testers.length
    counts.instruments += entry.instruments.length
    counts.plants += entry.plants.length
  }
  const first = new Liftledger({ baseUrl: service.url, apiKey: firms[0]!.key })
  for (const visit of EARLIER_VISITS) {
    const test = await first.tests.submit(read(visit) as Parameters<Liftledger['tests']['submit']>[0])
    // The second one stays the firm’s own.
    if (counts.tests++ === 0) await giveTests(first, programs, [test])
  }
  return { adminKey, auditorKey, programs, firms, counts }
}
