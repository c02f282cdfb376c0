/** What is done to the product, and what must hold afterwards. */
import { setTimeout as sleep } from 'node:timers/promises'
import type { Figure } from '../bench/rounds.ts'
import { inWorld, type Outcome, type World } from './world.ts'

export interface Case {
  readonly id: string
  /** In a few words. */
  readonly says: string
  /** Left out of a quick run, unless asked for. */
  readonly takesLong?: boolean
  run(quick: boolean): Promise<Figure[]>
}

const KILLS = { whole: 24, quick: 2 } as const
const CUTS = { whole: 60, quick: 8 } as const
/** Longer than a query may take, so that each is given up and its commit comes late. */
const HALT_MS = 10_000
const HALTS = { whole: 3, quick: 1 } as const
const MOMENT_MS_MAX = { whole: 2_000, quick: 500 } as const
const PATIENCE_MS = 60_000
/** How soon after the database is back submissions are acknowledged again. */
const RECOVERY_S_MAX = 5

const moment = (most: number): Promise<void> => sleep(Math.random() * most)
const howMany = (count: { whole: number; quick: number }, quick: boolean): number => (quick ? count.quick : count.whole)

/** Under load means: something was acknowledged since the last fault. */
async function underLoad({ client }: World, quick: boolean, fault: () => Promise<void>): Promise<void> {
  await client.untilMoreIsStored(PATIENCE_MS)
  await moment(howMany(MOMENT_MS_MAX, quick))
  await fault()
}

export const cases: readonly Case[] = [
  {
    id: 'torture.service-killed',
    says: 'SIGKILL of the service at random moments, started again at once',
    async run(quick) {
      const kills = howMany(KILLS, quick)
      const outcome = await inWorld({ services: 1, withProxy: false }, async (world) => {
        const service = world.services[0]!
        for (let i = 0; i < kills; i++) {
          await underLoad(world, quick, () => service.kill())
          await service.start()
        }
      })
      return figures(this.id, outcome, [atLeast('kills', kills, KILLS, quick)])
    },
  },
  {
    id: 'torture.postgres-killed',
    says: 'SIGKILL of the postmaster and all its children, down for up to 1 s; the service is not touched',
    async run(quick) {
      const kills = howMany(KILLS, quick)
      let slowest = 0
      let died = 0
      const outcome = await inWorld({ services: 1, withProxy: false }, async (world) => {
        for (let i = 0; i < kills; i++) {
          await underLoad(world, quick, () => world.postgres.kill())
          await moment(1_000)
          await world.postgres.start()
          slowest = Math.max(slowest, await world.client.untilMoreIsStored(PATIENCE_MS))
          if (!world.services[0]!.isAlive) died += 1
        }
      })
      return figures(this.id, outcome, [
        atLeast('kills', kills, KILLS, quick),
        { name: 'service-ended', value: died, unit: '', goal: 0, better: 'lower' },
        { name: 'slowest-recovery', value: slowest, unit: 's', goal: RECOVERY_S_MAX, better: 'lower' },
        { name: 'answered-503-or-504', value: outcome.progress.unavailable, unit: '', goal: null, better: 'lower' },
      ])
    },
  },
  {
    id: 'torture.postgres-hung',
    says: `Postgres stands still for ${HALT_MS / 1000} s with its connections open, then goes on where it was`,
    takesLong: true,
    async run(quick) {
      const halts = howMany(HALTS, quick)
      let slowest = 0
      const outcome = await inWorld({ services: 1, withProxy: false }, async (world) => {
        for (let i = 0; i < halts; i++) {
          await underLoad(world, quick, () => world.postgres.halt())
          await sleep(HALT_MS)
          await world.postgres.resume()
          slowest = Math.max(slowest, await world.client.untilMoreIsStored(PATIENCE_MS))
        }
      })
      return figures(this.id, outcome, [
        atLeast('halts', halts, HALTS, quick),
        { name: 'slowest-recovery', value: slowest, unit: 's', goal: RECOVERY_S_MAX, better: 'lower' },
        { name: 'answered-503-or-504', value: outcome.progress.unavailable, unit: '', goal: null, better: 'lower' },
      ])
    },
  },
  {
    id: 'torture.commit-lost',
    says: 'the connection is cut when a batch was sent, before its answer is back, at random with the commit done or under way',
    async run(quick) {
      const wanted = howMany(CUTS, quick)
      let cuts = 0
      const outcome = await inWorld({ services: 1, withProxy: true }, async (world) => {
        for (let i = 0; i < wanted; i++) {
          await world.client.untilMoreIsStored(PATIENCE_MS)
          await moment(500)
          world.proxy!.cutNext(Math.random() < 0.5 ? 'answer' : 'request')
          // Now and then the way to the database stays shut for a while.
          if (Math.random() < 0.15) {
            world.proxy!.block(true)
            await moment(1_000)
            world.proxy!.block(false)
          }
        }
        await world.client.untilMoreIsStored(PATIENCE_MS)
        cuts = world.proxy!.cuts
      })
      return figures(this.id, outcome, [atLeast('cuts', cuts, { whole: 20, quick: CUTS.quick }, quick)])
    },
  },
  {
    id: 'torture.two-processes',
    says: 'two services on one database, one or the other killed at random moments; repeats may meet the other',
    async run(quick) {
      const kills = howMany(KILLS, quick)
      const outcome = await inWorld({ services: 2, withProxy: false }, async (world) => {
        for (let i = 0; i < kills; i++) {
          const service = world.services[Math.random() < 0.5 ? 0 : 1]!
          await underLoad(world, quick, () => service.kill())
          await service.start()
        }
      })
      return figures(this.id, outcome, [atLeast('kills', kills, KILLS, quick)])
    },
  },
]

interface Extra {
  readonly name: string
  readonly value: number
  readonly unit: string
  readonly goal: number | null
  readonly better: 'higher' | 'lower'
}

const atLeast = (name: string, value: number, goal: { whole: number; quick: number }, quick: boolean): Extra => ({
  name,
  value,
  unit: '',
  goal: quick ? goal.quick : Math.min(goal.whole, 20),
  better: 'higher',
})

/** Faults, which must be 0, and what they were counted over. */
function figures(id: string, { progress, verdict }: Outcome, extras: readonly Extra[]): Figure[] {
  const { lost, doubled, falselyRefused, ledgerFaults, undecided, acknowledged, stored, examples } = verdict
  const { treeFaults, checkpoints, coveredAfterS } = verdict
  for (const example of examples) console.log(`    ${id}: ${example}`)
  const fault = (name: string, value: number): Extra => ({ name, value, unit: '', goal: 0, better: 'lower' })
  const count = (name: string, value: number): Extra => ({ name, value, unit: '', goal: null, better: 'higher' })
  const all = [
    fault('acknowledged-lost', lost),
    fault('doubled', doubled),
    fault('falsely-refused', falselyRefused),
    fault('ledger-faults', ledgerFaults),
    fault('undecided', undecided),
    fault('tree-faults', treeFaults),
    ...extras,
    { name: 'covered-after', value: coveredAfterS, unit: 's', goal: null, better: 'lower' } as const,
    count('checkpoints-verified', checkpoints),
    count('acknowledged', acknowledged),
    count('stored', stored),
    count('unknown-then-repeated', progress.unknown),
    count('refused-with-nothing-stored', progress.refused),
  ]
  return all.map(({ name, ...rest }) => ({ id: `${id}.${name}`, ...rest }))
}
