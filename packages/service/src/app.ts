/** The application: what goes around every request, then the slices, by name and in reading order. */
import { type FastifyBaseLogger, type FastifyInstance, fastify, LogController } from 'fastify'
import { openGate } from './access/authenticate.ts'
import { accessRoutes } from './access/routes.ts'
import { tokenPrincipalRoutes } from './access/token-routes.ts'
import { decisionRoutes } from './decisions/routes.ts'
import type { Deps } from './deps.ts'
import { evaluationRoutes } from './evaluations/routes.ts'
import { TestReader } from './field-tests/load.ts'
import { recordedRoutes } from './field-tests/recorded-routes.ts'
import { revisionRoutes } from './field-tests/revision-routes.ts'
import { fieldTestRoutes } from './field-tests/routes.ts'
import { registerAbout } from './http/about.ts'
import { registerAdmission } from './http/admission.ts'
import { type CallLimits, registerAuth } from './http/auth.ts'
import { registerBody } from './http/body.ts'
import { registerCaching } from './http/caching.ts'
import { registerDeprecation } from './http/deprecation.ts'
import { clientErrorHandler, registerErrorHandler, sendError } from './http/error-handler.ts'
import { watchEventLoop } from './http/event-loop.ts'
import { healthRoutes } from './http/health.ts'
import { LateCompiling } from './http/late-compiling.ts'
import { registerOpenApi } from './http/openapi.ts'
import { Buckets, shareOf } from './http/rate-limit.ts'
import { registerRequests, requestId } from './http/requests.ts'
import { registerStalled } from './http/stalled.ts'
import { textCompiler } from './http/validator.ts'
import { bundleRoutes } from './ledger/bundle-routes.ts'
import { openLedger } from './ledger/open.ts'
import { proofRoutes } from './ledger/proof-routes.ts'
import { ledgerRoutes } from './ledger/routes.ts'
import { methodRoutes } from './method/routes.ts'
import { noteRoutes } from './notes/routes.ts'
import { historyConsentRoutes } from './plant-history/consents.ts'
import { plantHistoryRoutes } from './plant-history/history.ts'
import { draftRoutes } from './programs/drafts.ts'
import { dryRunRoutes } from './programs/dry-runs.ts'
import { givenTestRoutes } from './programs/given-tests.ts'
import { judgementRoutes } from './programs/judgements.ts'
import { publicationRoutes } from './programs/publications.ts'
import { qualityDrawRoutes } from './quality-visits/draw-routes.ts'
import { qualityVisitRoutes } from './quality-visits/visit-routes.ts'
import { registerReadLog } from './read-log/declare.ts'
import { ReadLog } from './read-log/gather.ts'
import { readLogRoutes } from './read-log/routes.ts'
import { recordFindingRoutes } from './record-findings/routes.ts'
import { accessRequestRoutes } from './registry/access-requests.ts'
import { changeRoutes } from './registry/change-routes.ts'
import { contextRoutes } from './registry/context-route.ts'
import { firmRoutes } from './registry/firms.ts'
import { instrumentCheckRoutes } from './registry/instrument-checks.ts'
import { instrumentRoutes } from './registry/instruments.ts'
import { meterRoutes } from './registry/meters.ts'
import { patchRoutes } from './registry/patch-routes.ts'
import { plantRoutes } from './registry/plants.ts'
import { programRoutes } from './registry/programs.ts'
import { testerRoutes } from './registry/testers.ts'
import { reportRoutes } from './reports/routes.ts'
import { statisticsRoutes } from './statistics/routes.ts'
import { traceRoutes } from './traces/routes.ts'
import { workListRoutes } from './work-lists/routes.ts'

export const VERSION = '0.1.0'

export async function buildApp(deps: Deps): Promise<FastifyInstance> {
  const { config } = deps
  const compiling = new LateCompiling()
  const app = fastify({
    loggerInstance: deps.log as FastifyBaseLogger,
    // One line at the end of a request, made in requests.ts.
    logController: new LogController({ disableRequestLogging: true }),
    genReqId: requestId,
    clientErrorHandler: clientErrorHandler(config, deps.newId),
    frameworkErrors: (error, request, reply) => void sendError(error, config, request, reply),
    // A connection that is being drained still gets its answers.
    return503OnClosing: false,
    http: { headersTimeout: 10_000, maxHeaderSize: 16_384 },
    requestTimeout: 30_000,
    keepAliveTimeout: 65_000,
    routerOptions: { maxParamLength: 100 },
    schemaController: { compilersFactory: { buildSerializer: compiling.buildSerializer } },
    ...(config.trustProxy !== undefined && { trustProxy: [...config.trustProxy] }),
  })
  app.decorate('lifecycle', { stopping: false, concerns: [] })
  const gate = await openGate(deps)
  const eventLoop = watchEventLoop()
  const ledger = await openLedger(deps)
  const reads = new ReadLog({ pool: deps.databases.writer, log: deps.log })
  app.decorate('ledger', ledger)
  app.lifecycle.concerns.push(() => ledger.concern())
  app.addHook('onClose', async () => {
    eventLoop.stop()
    await reads.drain()
    await ledger.close()
    await gate.close()
  })
  app.setValidatorCompiler(textCompiler(compiling))
  registerRequests(app, config)
  // Before any route, so that no error is answered in another form.
  registerErrorHandler(app, config)
  if (config.metrics !== undefined) {
    // Loaded only where somebody wants figures.
    const { registerMetrics } = await import('./http/metrics.ts')
    app.decorate('metrics', registerMetrics(app, { databases: deps.databases, eventLoop, ledger, reads }))
  }
  registerAdmission(app, config.admission, eventLoop)
  registerStalled(app)
  registerAuth(app, gate, callLimits(deps))
  registerDeprecation(app)
  await registerCaching(app)
  registerReadLog(app, reads, deps.now)
  registerBody(app, compiling)
  compiling.register(app)
  await registerOpenApi(app, VERSION)
  registerAbout(app)

  await app.register(healthRoutes, deps)
  await app.register(accessRoutes, deps)
  await app.register(tokenPrincipalRoutes, deps)
  await app.register(firmRoutes, deps)
  await app.register(programRoutes, deps)
  await app.register(plantRoutes, deps)
  await app.register(meterRoutes, deps)
  await app.register(accessRequestRoutes, deps)
  await app.register(testerRoutes, deps)
  await app.register(instrumentRoutes, deps)
  await app.register(instrumentCheckRoutes, deps)
  await app.register(patchRoutes, deps)
  await app.register(changeRoutes, deps)
  await app.register(contextRoutes, deps)
  await app.register(evaluationRoutes, deps)
  await app.register(methodRoutes)
  const tests = new TestReader(deps.databases)
  await app.register(fieldTestRoutes, { ...deps, tests, ledger })
  await app.register(traceRoutes, { tests })
  await app.register(recordedRoutes, { tests })
  await app.register(reportRoutes, { ...deps, tests })
  await app.register(ledgerRoutes, deps)
  await app.register(proofRoutes, deps)
  await app.register(bundleRoutes, { ...deps, ledger })
  await app.register(readLogRoutes, deps)
  await app.register(revisionRoutes, { ...deps, ledger })
  await app.register(recordFindingRoutes, deps)
  await app.register(decisionRoutes, { ...deps, ledger })
  await app.register(givenTestRoutes, deps)
  await app.register(draftRoutes, deps)
  await app.register(dryRunRoutes, deps)
  await app.register(publicationRoutes, { ...deps, ledger })
  await app.register(judgementRoutes, deps)
  await app.register(qualityDrawRoutes, { ...deps, ledger })
  await app.register(qualityVisitRoutes, { ...deps, ledger })
  await app.register(noteRoutes, { ...deps, ledger })
  await app.register(plantHistoryRoutes, deps)
  await app.register(historyConsentRoutes, deps)
  await app.register(statisticsRoutes, deps)
  await app.register(workListRoutes, deps)
  return app
}

const KEYS_MAX = 50_000
const ADDRESSES_MAX = 50_000

/** This process's part of the limits; no limit where the settings say 0. */
function callLimits({ config, now }: Deps): CallLimits {
  const buckets = (perMinute: number, bucketsMax: number): Buckets | undefined =>
    perMinute === 0 ? undefined : new Buckets({ perMinute: shareOf(perMinute, config.processes), bucketsMax }, now)
  const byCredential = buckets(config.ratePerMinute, KEYS_MAX)
  const failuresByAddress = buckets(config.failuresPerMinute, ADDRESSES_MAX)
  const publicByAddress = buckets(config.publicPerMinute, ADDRESSES_MAX)
  return {
    ...(byCredential && { byCredential }),
    ...(failuresByAddress && { failuresByAddress }),
    ...(publicByAddress && { publicByAddress }),
  }
}
