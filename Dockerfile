FROM node:24-slim
WORKDIR /app
COPY package.json package-lock.json .npmrc ./
COPY packages packages
RUN npm ci --omit=dev --omit=optional --ignore-scripts && chown -R node /app
USER node
EXPOSE 8080
CMD ["node", "packages/service/src/main.ts"]
