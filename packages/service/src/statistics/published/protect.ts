/**
 * Complementary suppression: which further figures must be withheld so that none of those withheld can be had from the
 * others nearer than p percent, whatever a firm knows together with a customer, or with those who know three plants.
 *
 * For each withheld figure, and up and down, there must be another record that differs in it by p percent of what the attacker
 * doesn't know, and that everything told would be the same for: a move of the unknowns that no told figure feels. Where there is
 * none, a linear program finds the cheapest further figures to withhold (after Kelly, Golden and Assad, Cell suppression:
 * disclosure protection for sensitive tabular data, Networks 22, 1992, and Fischetti and Salazar, Solving the cell
 * suppression problem on tabular data with linear constraints, Management Science 47, 2001; both from memory). A move
 * that was found serves for everyone who leaves room for it, so that few programs are solved.
 */
import { setImmediate as nextTurn } from 'node:timers/promises'
import { type Attacker, Holdings, NOBODY, nameOf, type Room } from './attackers.ts'
import type { CountedTest } from './lattice.ts'
import { type Magnitude, P } from './rules.ts'
import { type Move, MoveSolver, type Quantity, type Question } from './solver.ts'

export interface Additive {
  readonly of: Magnitude
  /** What no test can hold more of. */
  readonly cap?: number
}

export interface Problem {
  readonly unknowns: readonly (readonly CountedTest[])[]
  /** Those that are to be protected are `withheld`; more of them become so. */
  readonly quantities: readonly Quantity[]
  readonly additives: readonly Additive[]
  /** Of the p percent rule, as a ratio; p of the rules if left out. */
  readonly p?: number
}

export interface Protection {
  /** Indices of figures that are withheld to protect others. */
  readonly opened: readonly number[]
  /** Figures that can’t be protected whatever is withheld, since too much was told before. */
  readonly exposed: readonly number[]
  /** Programs that were solved. */
  readonly programs: number
}

/** Work between two looks at what else there is to do. */
const TURN_MS = 15
/** Share of each unknown that a move may take, so that it serves others too. */
const SPARING = 0.5
/** Plants of others that anyone is taken to know. */
const PLANTS_KNOWN = 3
const MARGIN = 1 + 1e-5

export async function protect(problem: Problem): Promise<Protection> {
  const solver = await MoveSolver.over(problem.quantities, problem.unknowns.length)
  try {
    return await new Protector(problem, solver).run()
  } finally {
    solver.dispose()
  }
}

type Direction = 1 | -1
interface Aim {
  readonly target: number
  readonly direction: Direction
  readonly holdings: Holdings
  /** Moves that were found for it. */
  readonly moves: Float64Array[]
}

class Protector {
  readonly #problem: Problem
  readonly #solver: MoveSolver
  readonly #holdings: readonly Holdings[]
  readonly #opened: number[] = []
  readonly #exposed = new Set<number>()
  readonly #rooms = new Map<Holdings, Map<string, Room>>()
  #programs = 0
  #lastTurn = performance.now()

  constructor(problem: Problem, solver: MoveSolver) {
    this.#problem = problem
    this.#solver = solver
    this.#holdings = problem.additives.map(({ of, cap }) => new Holdings(problem.unknowns, of, cap))
  }

  async run(): Promise<Protection> {
    const { quantities } = this.#problem
    // Those that are opened become targets themselves.
    const targets = quantities.flatMap(({ state, isKept }, n) => (state === 'withheld' && isKept !== true ? [n] : []))
    const aims: Aim[] = []
    for (let opened = -1; opened < this.#opened.length; ) {
      opened = this.#opened.length
      for (let n = aims.length / (2 * this.#holdings.length); n < targets.length; n++) {
        for (const aim of this.#aimsAt(targets[n]!)) {
          aims.push(aim)
          await this.#cover(aim, targets)
        }
      }
      // Who knows single plants chooses them by what hides a cell: again with each that is opened.
      for (const aim of [...aims]) await this.#coverFromPlants(aim, targets)
    }
    return { opened: this.#opened, exposed: [...this.#exposed], programs: this.#programs }
  }

  #aimsAt(target: number): Aim[] {
    return this.#holdings.flatMap((holdings) =>
      ([1, -1] as const).map((direction) => ({ target, direction, holdings, moves: [] })),
    )
  }

  /** Firms, and people of none, who know the plants that hold most of what hides the figure. */
  async #coverFromPlants(aim: Aim, targets: number[]): Promise<void> {
    const { quantities } = this.#problem
    const own = new Set(quantities[aim.target]!.members)
    const hiding = targets.map((n) => quantities[n]!.members.filter((u) => !own.has(u)))
    for (const firm of [undefined, ...aim.holdings.firms]) {
      const seen = new Set<string>()
      for (const unknowns of [...hiding, hiding.flat()]) {
        const told = aim.holdings.largestPlants([...new Set(unknowns)], firm, PLANTS_KNOWN)
        const name = told.toSorted().join(' ')
        if (told.length === 0 || seen.has(name)) continue
        seen.add(name)
        const attacker = { ...(firm !== undefined && { firm }), told }
        if (!aim.moves.some((one) => this.#serves(one, aim, attacker))) await this.#find(aim, attacker, targets)
      }
    }
  }

  /** Sees to it that everyone leaves room for a move of the figure in that direction. */
  async #cover(aim: Aim, targets: number[]): Promise<void> {
    const queue: { readonly attacker: Attacker; readonly withOthers: boolean }[] = [
      { attacker: NOBODY, withOthers: true },
    ]
    const seen = new Set<string>()
    for (let next = queue.pop(); next !== undefined; next = queue.pop()) {
      const { attacker, withOthers } = next
      const name = `${nameOf(attacker)} ${withOthers}`
      if (seen.has(name)) continue
      seen.add(name)
      if (withOthers && (await this.#coversAllBeyond(aim, attacker))) continue
      const move =
        aim.moves.find((one) => this.#serves(one, aim, attacker)) ?? (await this.#find(aim, attacker, targets))
      if (move === undefined || !withOthers) continue
      // Whoever knows more than this attacker and leaves no room for the move gets one of his own.
      for (const other of this.#hindered(move, aim, attacker)) queue.push(other)
    }
  }

  /** Mostly one move serves an attacker and all who know more, and needs nothing further withheld. */
  async #coversAllBeyond(aim: Aim, attacker: Attacker): Promise<boolean> {
    const by = this.#wanted(aim, attacker)
    if (by === 0) return true
    const room = this.#roomOfAllBeyond(aim.holdings, attacker)
    const move = await this.#solve({ target: aim.target, by: by * aim.direction, room })
    return move !== undefined && move.opened.length === 0
  }

  #roomOfAllBeyond(holdings: Holdings, attacker: Attacker): Room {
    const rooms = this.#rooms.get(holdings) ?? new Map<string, Room>()
    this.#rooms.set(holdings, rooms)
    const name = nameOf(attacker)
    const room = rooms.get(name) ?? holdings.roomOfAllBeyond(attacker)
    rooms.set(name, room)
    return room
  }

  async #solve(question: Question): Promise<Move | undefined> {
    if (performance.now() - this.#lastTurn > TURN_MS) {
      await nextTurn()
      this.#lastTurn = performance.now()
    }
    this.#programs += 1
    return this.#solver.move(question)
  }

  #hidden({ holdings, target }: Aim, attacker: Attacker): number {
    return this.#problem.quantities[target]!.members.reduce((sum, u) => sum + holdings.hiddenIn(u, attacker), 0)
  }

  /** How far the figure must be able to move. */
  #wanted(aim: Aim, attacker: Attacker): number {
    return this.#hidden(aim, attacker) * (this.#problem.p ?? P) * MARGIN
  }

  #factor(move: Float64Array, aim: Aim, attacker: Attacker): number {
    const by = this.#problem.quantities[aim.target]!.members.reduce((sum, u) => sum + move[u]!, 0)
    return this.#wanted(aim, attacker) / Math.abs(by)
  }

  #serves(move: Float64Array, aim: Aim, attacker: Attacker): boolean {
    const factor = this.#factor(move, aim, attacker)
    for (let u = 0; u < move.length; u++) if (!aim.holdings.allows(u, move[u]! * factor, attacker)) return false
    return true
  }

  /** Those who know all that `attacker` knows and more, and for whom the move is not possible. */
  *#hindered(move: Float64Array, aim: Aim, attacker: Attacker) {
    const { holdings } = aim
    // For those who know more there is less to hide, and so a smaller move to make: this one is enough to look at.
    const factor = this.#factor(move, aim, attacker)
    for (let u = 0; u < move.length; u++) {
      const by = move[u]! * factor
      if (by === 0) continue
      for (const known of holdings.thoseWhoKnow(u)) {
        const other = { ...known, ...attacker }
        const adds =
          (known.firm !== undefined && attacker.firm === undefined) ||
          (known.told !== undefined && attacker.told === undefined)
        if (!adds || holdings.allows(u, by, other)) continue
        if (other.firm !== undefined && other.told !== undefined) yield { attacker: other, withOthers: false }
        else yield { attacker: other, withOthers: true }
      }
    }
  }

  async #find(aim: Aim, attacker: Attacker, targets: number[]): Promise<Float64Array | undefined> {
    const { quantities } = this.#problem
    const by = this.#wanted(aim, attacker)
    // Nothing to learn that this attacker doesn't know.
    if (by === 0) return undefined
    const room = aim.holdings.roomOf(attacker)
    const question = { target: aim.target, by: by * aim.direction }
    // A move that takes all there is of some unknown serves nobody who knows any of it: one that leaves part is tried first.
    const sparing = await this.#solve({ ...question, room: { ...room, down: room.down.map((all) => all * SPARING) } })
    const move = sparing?.opened.length === 0 ? sparing : await this.#solve({ ...question, room })
    if (move === undefined) {
      this.#exposed.add(aim.target)
      return undefined
    }
    for (const n of move.opened) {
      quantities[n]!.state = 'withheld'
      this.#opened.push(n)
      targets.push(n)
    }
    aim.moves.push(move.moved)
    return move.moved
  }
}
