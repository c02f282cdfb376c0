/** `/v1/method`: editions, formulas, quantities, units, ways to measure, findings, cautions. The documentation as data. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { catalogue } from '@liftledger/calc'
import { type TSchema, Type } from 'typebox'
import { Problem } from '../http/problem.ts'
import { PAGE_POLICY } from '../render/page-style.ts'
import { quantityPage } from './page.ts'
import {
  linkTo,
  MethodCaution,
  MethodDimension,
  MethodEdition,
  MethodFinding,
  MethodFormula,
  MethodOfMeasuring,
  MethodQuantity,
} from './schemas.ts'

const published = (formulas: readonly string[]) => formulas.filter((id) => id !== 'reading').map(linkTo('formulas'))

const editions = catalogue.editions.map((one) => ({ ...one, findings: one.findings.map(linkTo('findings')) }))
const formulas = catalogue.formulas.map(({ validity, ...one }) => ({
  ...one,
  ...(validity !== undefined && { validity }),
  usedBy: one.usedBy.map(linkTo('methods')),
}))
const quantities = catalogue.quantities.map((one) => ({ ...one, formulas: published(one.formulas) }))
const methods = catalogue.methods.map((one) => ({
  ...one,
  formulas: one.formulas.map(linkTo('formulas')),
  cautions: one.cautions.map(linkTo('cautions')),
}))
const findings = catalogue.findings.map(({ absenceOf, ...one }) => ({
  ...one,
  withholds: one.withholds.map(linkTo('quantities')),
  cautions: one.cautions.map(linkTo('cautions')),
  ...(absenceOf !== undefined && { absenceOf }),
}))

interface Kind {
  /** Last part of the path, of the list. */
  readonly path: string
  /** Of the operation: `methodFormulas` and so on. */
  readonly operation: string
  readonly one: string
  readonly many: string
  readonly schema: TSchema
  readonly items: readonly { readonly id: string }[]
}

const KINDS: readonly Kind[] = [
  {
    path: 'editions',
    operation: 'methodEditions',
    one: 'edition: its uncertainties and limits',
    many: 'editions of the method',
    schema: MethodEdition,
    items: editions,
  },
  {
    path: 'formulas',
    operation: 'methodFormulas',
    one: 'formula with its source, symbols and validity',
    many: 'formulas',
    schema: MethodFormula,
    items: formulas,
  },
  {
    path: 'quantities',
    operation: 'methodQuantities',
    one: 'quantity, and the formulas it comes from',
    many: 'quantities that are reported',
    schema: MethodQuantity,
    items: quantities,
  },
  {
    path: 'methods',
    operation: 'methodMethods',
    one: 'way to measure, with its formulas and cautions',
    many: 'ways to measure flow, level and power',
    schema: MethodOfMeasuring,
    items: methods,
  },
  {
    path: 'findings',
    operation: 'methodFindings',
    one: 'finding: its rule, reason, remedy and source',
    many: 'findings',
    schema: MethodFinding,
    items: findings,
  },
  {
    path: 'cautions',
    operation: 'methodCautions',
    one: 'caution',
    many: 'cautions: what can hurt',
    schema: MethodCaution,
    items: catalogue.cautions,
  },
]

const OPEN = { access: 'public' } as const
const tags = ['Method']
const listOf = (schema: TSchema, name: string) =>
  Type.Object(
    { items: Type.Array(schema, { maxItems: 2_000, description: 'All of them.' }) },
    { title: `${name}List`, description: 'All of one kind; there are no pages.', additionalProperties: false },
  )

export const methodRoutes: FastifyPluginAsyncTypebox = async (app) => {
  for (const { path, operation, one, many, schema, items } of KINDS) {
    const byId = new Map(items.map((item) => [item.id, item]))
    const title = String((schema as { title?: string }).title)
    app.get(
      `/v1/method/${path}`,
      {
        config: OPEN,
        schema: {
          operationId: `${operation}.list`,
          tags,
          summary: `List the ${many}`,
          description: 'As declared in the calculation itself; open to everybody.',
          response: { 200: listOf(schema, title) },
        },
      },
      async () => ({ items: [...items] }),
    )
    app.get(
      `/v1/method/${path}/:id`,
      {
        config: { ...OPEN, problems: ['not-found'] },
        schema: {
          operationId: `${operation}.get`,
          tags,
          summary: `Read a ${one}`,
          description: 'As declared in the calculation itself; open to everybody.',
          params: Type.Object({ id: Type.String({ maxLength: 80, description: 'Its id.' }) }),
          response: { 200: schema },
        },
      },
      async ({ params: { id } }) => {
        const item = byId.get(id)
        if (item === undefined)
          throw new Problem('not-found', `The method has no ${one.split(/[,: ]/)[0]} '${id.slice(0, 80)}'.`)
        return item
      },
    )
  }
  // For people, who come from a figure of a report; programs read the same as data.
  app.get('/method/quantities/:id', { config: OPEN, schema: { hide: true } }, async ({ params }, reply) => {
    const { id } = params as { id: string }
    const page = quantityPage(id)
    if (page === undefined) throw new Problem('not-found', `The method has no quantity '${id.slice(0, 80)}'.`)
    return reply.header('content-security-policy', PAGE_POLICY).type('text/html; charset=utf-8').send(page)
  })
  app.get(
    '/v1/method/units',
    {
      config: OPEN,
      schema: {
        operationId: 'methodUnits.list',
        tags,
        summary: 'List the units that readings may have',
        description: 'With their exact sizes in SI; nothing is converted before it is stored.',
        response: { 200: listOf(MethodDimension, 'MethodDimension') },
      },
    },
    async () => ({ items: catalogue.units }),
  )
}
