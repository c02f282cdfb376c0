/** Brings a simulated basin and its visits into a service, through the same routes that everyone uses. */
import { Liftledger } from '@liftledger/sdk'
import { recordsOf, type SimulatedBasin, type SimulatedFirm, type SimulatedVisit } from '@liftledger/simulator'

export interface FilledFirm {
  readonly id: string
  readonly name: string
  readonly key: string
  readonly client: Liftledger
}

/** A test as it was answered, beside the visit it came from. */
export type Submitted = Awaited<ReturnType<Liftledger['tests']['submit']>>

/** Does one thing for each item, so many at a time. The first failure ends it. */
async function eachOf<T>(items: Iterable<T>, atOnce: number, work: (item: T) => Promise<void>): Promise<void> {
  const left = items[Symbol.iterator]()
  const worker = async (): Promise<void> => {
    for (let next = left.next(); !next.done; next = left.next()) await work(next.value)
  }
  await Promise.all(Array.from({ length: atOnce }, worker))
}

const AT_ONCE_IN_A_FIRM = 4

async function registerFirm(admin: Liftledger, baseUrl: string, firm: SimulatedFirm): Promise<FilledFirm> {
  const { id } = await admin.firms.create({ name: firm.name })
  const { key } = await admin.keys.create({ role: 'firm', firmId: id, name: `${firm.code}, field software` })
  const client = new Liftledger({ baseUrl, apiKey: key })
  await eachOf(firm.testers, AT_ONCE_IN_A_FIRM, async ({ code, qualifications, kit }) => {
    await client.testers.create({ code, qualifications })
    for (const record of recordsOf(kit)) {
      const effectiveFrom = record.certificate?.validFrom ?? qualifications[0]!.validFrom
      await client.instruments.create({ ...record, effectiveFrom })
    }
  })
  return { id, name: firm.name, key, client }
}

/** Registers firms with their testers and instruments, and plants; answers the firms by their code. */
export async function registerSimulated(
  baseUrl: string,
  adminKey: string,
  basin: SimulatedBasin,
  atOnce = 16,
): Promise<ReadonlyMap<string, FilledFirm>> {
  const admin = new Liftledger({ baseUrl, apiKey: adminKey })
  const firms = new Map<string, FilledFirm>()
  await eachOf(basin.firms, atOnce, async (firm) => {
    firms.set(firm.code, await registerFirm(admin, baseUrl, firm))
  })
  await eachOf(basin.plants, atOnce, async ({ code, kind, region, customer, equipment, firms: [first, ...others] }) => {
    const { id } = await firms.get(first!)!.client.plants.create({ code, kind, region, reference: customer, equipment })
    for (const other of others) await admin.plants.grantAccess(id, { firmId: firms.get(other)!.id })
  })
  return firms
}

/** Submits visits by the keys of their firms; answers how many there were. */
export async function submitVisits(
  firms: ReadonlyMap<string, FilledFirm>,
  visits: Iterable<SimulatedVisit>,
  options: {
    readonly atOnce?: number
    readonly onTest?: (test: Submitted, visit: SimulatedVisit) => void
  } = {},
): Promise<number> {
  let count = 0
  await eachOf(visits, options.atOnce ?? 32, async (visit) => {
    const test = await firms.get(visit.firm.code)!.client.tests.submit(visit.sheet)
    count++
    options.onTest?.(test, visit)
  })
  return count
}
