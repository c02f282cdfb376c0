/**
 * The graph of one evaluation: readings at the bottom, formulas above them, one node a value.
 *
 * It is recorded while values are computed, in flat arrays, so that one backward sweep over it gives the
 * sensitivity of a quantity to every reading. The graph is also the trace: nothing is described twice.
 * The arrays are kept between evaluations; `reset` empties them.
 */
import type { AnyFormula, Formula, Inputs, Source } from './formula.ts'
import type { Measured } from './units.ts'

/** Index of a node. Inputs of a node always have smaller indices. */
export type Node = number

/** Nodes for the inputs of a formula. */
type InputNodes<I extends Inputs> = {
  readonly [K in keyof I]: I[K] extends string ? Node : readonly Node[]
}

/** What a raw reading is, apart from its value: declared once for each kind of reading. */
export interface LeafKind {
  readonly title: string
  /** SI unit. */
  readonly unit: string
  /** SI value of what was read. */
  readonly toSi: (read: Measured) => number
  /** Size in SI of one unit as read. */
  readonly unitSize: (unit: string) => number
}

/** A raw reading, or a default that stands in for one. */
interface Leaf {
  readonly kind: LeafKind
  /** JSON Pointer into the sheet, or `edition/{name}`. */
  readonly place: string
  readonly read: Measured
}

/** What a person could do about a cause of uncertainty. */
export type Action = 'repeat' | 'certify' | 'better-instrument' | 'measure'

/** What a cause of uncertainty is, apart from its size. */
export interface ComponentKind {
  readonly id: string
  readonly label: string
  readonly action: Action
  readonly source: Source
  /** SI unit of its standard uncertainty. */
  readonly unit: string
}

/**
 * One cause of uncertainty. It has the value zero and acts on one or several nodes; an error common to
 * all readings of an instrument is one component acting on all of them, so correlation needs no number.
 */
export interface Component {
  readonly kind: ComponentKind
  /** Where it comes from: JSON Pointer into the sheet, `instrument/{code}` or `edition/{name}`. */
  readonly place: string
  /** Components of one group are repeated or improved together: the points of a traverse, for example. */
  readonly group: string
  /** Standard uncertainty in the kind’s unit. */
  readonly u: number
  /** Degrees of freedom; Infinity where the figure is not from repeats. */
  readonly dof: number
}

type Ints = Int32Array<ArrayBuffer>
type Floats = Float64Array<ArrayBuffer>

const NODES_AT_FIRST = 512
const EDGES_AT_FIRST = 4096

function grownInt(array: Ints, needed: number): Ints {
  if (needed <= array.length) return array
  const larger = new Int32Array(Math.max(needed, array.length * 2))
  larger.set(array)
  return larger
}

function grownFloat(array: Floats, needed: number): Floats {
  if (needed <= array.length) return array
  const larger = new Float64Array(Math.max(needed, array.length * 2))
  larger.set(array)
  return larger
}

function grownBytes(array: Uint8Array<ArrayBuffer>): Uint8Array<ArrayBuffer> {
  const larger = new Uint8Array(array.length * 2)
  larger.set(array)
  return larger
}

interface Junction {
  readonly node: Node
  /** Partial derivatives of the node with respect to the components, once they are known. */
  components: Floats | undefined
}

export class Graph {
  size = 0
  values = new Float64Array(NODES_AT_FIRST)
  /** What each node is: a formula, or the leaf it stands for. Beyond `size` are those of earlier evaluations. */
  readonly origins: (AnyFormula | Leaf)[] = []
  readonly components: Component[] = []
  /** Standard uncertainty and degrees of freedom of each component, flat for the sums over them. */
  componentU = new Float64Array(NODES_AT_FIRST)
  componentDof = new Float64Array(NODES_AT_FIRST)

  #firstEdge = new Int32Array(NODES_AT_FIRST + 1)
  #edgeTo = new Int32Array(EDGES_AT_FIRST)
  #edgePartial = new Float64Array(EDGES_AT_FIRST)
  #edges = 0
  #effectNode = new Int32Array(EDGES_AT_FIRST)
  #effectComponent = new Int32Array(EDGES_AT_FIRST)
  #effectCoefficient = new Float64Array(EDGES_AT_FIRST)
  #effects = 0
  readonly #junctions: Junction[] = []
  #isJunction = new Uint8Array(NODES_AT_FIRST)
  #sensitivity = new Float64Array(NODES_AT_FIRST)
  #componentSensitivity = new Float64Array(NODES_AT_FIRST)

  /** Forgets everything, keeps the memory. */
  reset(): void {
    this.size = 0
    this.components.length = 0
    this.#edges = 0
    this.#effects = 0
    this.#junctions.length = 0
  }

  #add(origin: AnyFormula | Leaf, value: number): Node {
    const node = this.size++
    this.values = grownFloat(this.values, this.size)
    this.#firstEdge = grownInt(this.#firstEdge, this.size + 1)
    if (this.size > this.#isJunction.length) this.#isJunction = grownBytes(this.#isJunction)
    this.values[node] = value
    this.#isJunction[node] = 0
    this.origins[node] = origin
    this.#firstEdge[node + 1] = this.#edges
    return node
  }

  /** Adds a reading or default. */
  leaf(kind: LeafKind, place: string, read: Measured): Node {
    this.#firstEdge[this.size] = this.#edges
    return this.#add({ kind, place, read }, kind.toSi(read))
  }

  /** Adds the value of a formula and its partial derivatives at the values of its inputs. */
  apply<const I extends Inputs>(formula: Formula<I>, inputs: InputNodes<I>): Node {
    const declared = formula as unknown as AnyFormula
    const { names, scratch: args } = declared
    const nodes = inputs as Record<string, Node | readonly Node[]>
    const values = this.values
    const first = this.#edges
    for (let i = 0; i < names.length; i++) {
      const name = names[i]!
      const input = nodes[name]!
      if (typeof input === 'number') {
        args[name] = values[input]!
        this.#edge(input)
      } else {
        args[name] = input.map((node) => values[node]!)
        for (let k = 0; k < input.length; k++) this.#edge(input[k]!)
      }
    }
    const value = declared.value(args)
    const partials = declared.partials(args)
    const edgePartial = this.#edgePartial
    let edge = first
    for (let i = 0; i < names.length; i++) {
      const partial = partials[names[i]!]!
      if (typeof partial === 'number') edgePartial[edge++] = partial
      else for (let k = 0; k < partial.length; k++) edgePartial[edge++] = partial[k]!
    }
    this.#firstEdge[this.size] = first
    return this.#add(declared, value)
  }

  /** Adds an input of the node that is about to be added; its partial derivative follows. */
  #edge(to: Node): void {
    const edge = this.#edges++
    if (edge >= this.#edgeTo.length) {
      this.#edgeTo = grownInt(this.#edgeTo, edge + 1)
      this.#edgePartial = grownFloat(this.#edgePartial, edge + 1)
    }
    this.#edgeTo[edge] = to
  }

  /** Adds a cause of uncertainty; it does nothing until it acts on a node. */
  component(component: Component): number {
    const index = this.components.push(component) - 1
    this.componentU = grownFloat(this.componentU, index + 1)
    this.componentDof = grownFloat(this.componentDof, index + 1)
    this.componentU[index] = component.u
    this.componentDof[index] = component.dof
    return index
  }

  /** Lets a component act on a node: one standard uncertainty of it moves the node by `coefficient` × u. */
  act(component: number, node: Node, coefficient: number): void {
    const effect = this.#effects++
    if (effect >= this.#effectNode.length) {
      this.#effectNode = grownInt(this.#effectNode, effect + 1)
      this.#effectComponent = grownInt(this.#effectComponent, effect + 1)
      this.#effectCoefficient = grownFloat(this.#effectCoefficient, effect + 1)
    }
    this.#effectNode[effect] = node
    this.#effectComponent[effect] = component
    this.#effectCoefficient[effect] = coefficient
  }

  /**
   * Declares a node that many quantities rest on and that has much below it: the mean velocity of a traverse.
   * What its components do to it is then worked out once, not once for every quantity above it.
   */
  junction(node: Node): void {
    this.#junctions.push({ node, components: undefined })
    this.#isJunction[node] = 1
  }

  /**
   * Partial derivatives of `target` with respect to every node up to it, by one backward sweep.
   * The array is reused by the next call.
   */
  sensitivities(target: Node): Float64Array {
    return this.#sweep(target, true)
  }

  #sweep(target: Node, throughJunctions: boolean): Floats {
    const sensitivity = this.#sensitivity.length >= this.size ? this.#sensitivity : this.#growSensitivity()
    const firstEdge = this.#firstEdge
    const edgeTo = this.#edgeTo
    const edgePartial = this.#edgePartial
    const isJunction = this.#isJunction
    for (let node = 0, size = this.size; node < size; node++) sensitivity[node] = 0
    sensitivity[target] = 1
    for (let node = target; node >= 0; node--) {
      const s = sensitivity[node]!
      if (s === 0 || (isJunction[node] === 1 && node !== target && !throughJunctions)) continue
      const end = firstEdge[node + 1]!
      for (let edge = firstEdge[node]!; edge < end; edge++) {
        const to = edgeTo[edge]!
        sensitivity[to] = sensitivity[to]! + s * edgePartial[edge]!
      }
    }
    return sensitivity
  }

  #growSensitivity(): Floats {
    this.#sensitivity = grownFloat(this.#sensitivity, this.size)
    return this.#sensitivity
  }

  /** Partial derivatives of `target` with respect to every component. The array is reused by the next call. */
  componentSensitivities(target: Node): Float64Array {
    for (const junction of this.#junctions)
      if (junction.components === undefined) junction.components = this.#componentsOf(junction.node).slice()
    return this.#componentsOf(target)
  }

  /** Adds up what each component does: through junctions below the target, then through the nodes it acts on. */
  #componentsOf(target: Node): Floats {
    const sensitivity = this.#sweep(target, false)
    const count = this.components.length
    this.#componentSensitivity = grownFloat(this.#componentSensitivity, count)
    const sums = this.#componentSensitivity
    for (let i = 0; i < count; i++) sums[i] = 0
    for (let j = 0; j < this.#junctions.length; j++) {
      const { node, components } = this.#junctions[j]!
      const s = sensitivity[node]!
      if (s === 0 || node === target || components === undefined) continue
      // The junction’s own components are among these.
      sensitivity[node] = 0
      for (let i = 0; i < count; i++) sums[i] = sums[i]! + s * components[i]!
    }
    const effectNode = this.#effectNode
    const effectComponent = this.#effectComponent
    const effectCoefficient = this.#effectCoefficient
    const effects = this.#effects
    for (let effect = 0; effect < effects; effect++) {
      const s = sensitivity[effectNode[effect]!]!
      if (s === 0) continue
      const component = effectComponent[effect]!
      sums[component] = sums[component]! + s * effectCoefficient[effect]!
    }
    return sums
  }

  /** Nodes a component acts on. */
  nodesOf(component: number): Node[] {
    const nodes: Node[] = []
    for (let effect = 0; effect < this.#effects; effect++)
      if (this.#effectComponent[effect] === component) nodes.push(this.#effectNode[effect]!)
    return nodes
  }

  /** Inputs of a node by name; a list input gives `name[0]`, `name[1]` … */
  inputsOf(node: Node): { name: string; node: Node }[] {
    const origin = this.origins[node]!
    if (!('inputs' in origin)) return []
    const inputs: { name: string; node: Node }[] = []
    let edge = this.#firstEdge[node]!
    const end = this.#firstEdge[node + 1]!
    const { names } = origin
    const lists = names.filter((name) => typeof origin.inputs[name] !== 'string').length
    const perList = lists === 0 ? 0 : (end - edge - (names.length - lists)) / lists
    for (const name of names) {
      if (typeof origin.inputs[name] === 'string') inputs.push({ name, node: this.#edgeTo[edge++]! })
      else for (let k = 0; k < perList; k++) inputs.push({ name: `${name}[${k}]`, node: this.#edgeTo[edge++]! })
    }
    return inputs
  }

  /** Marks every node that follows from one of `roots`. */
  dependents(roots: readonly Node[]): Uint8Array {
    const marked = new Uint8Array(this.size)
    for (const root of roots) marked[root] = 1
    for (let node = 0; node < this.size; node++) {
      for (
        let edge = this.#firstEdge[node]!, end = this.#firstEdge[node + 1]!;
        edge < end && marked[node] === 0;
        edge++
      )
        if (marked[this.#edgeTo[edge]!] === 1) marked[node] = 1
    }
    return marked
  }
}
