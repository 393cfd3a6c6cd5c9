using System.Collections.Frozen;
using System.IO.Compression;
using System.Security.Cryptography;
using Microsoft.AspNetCore.Http;
using Microsoft.Net.Http.Headers;

namespace Rinsewright.Web.Hosting;

/// <summary>Styles, scripts and icons, held in the program itself, compressed once, each with its ETag.</summary>
internal sealed class AssetFiles : IMiddleware
{
    private const string Prefix = "assets/";

    private static readonly FrozenDictionary<string, string> MediaTypes = new Dictionary<string, string>(
        StringComparer.Ordinal
    )
    {
        [".css"] = "text/css; charset=utf-8",
        [".js"] = "text/javascript; charset=utf-8",
        [".svg"] = "image/svg+xml",
        [".png"] = "image/png",
        [".webmanifest"] = "application/manifest+json",
    }.ToFrozenDictionary(StringComparer.Ordinal);

    private readonly FrozenDictionary<string, Asset> _assets = typeof(AssetFiles)
        .Assembly.GetManifestResourceNames()
        .Where(n => n.StartsWith(Prefix, StringComparison.Ordinal))
        .ToFrozenDictionary(AddressOf, Read, StringComparer.Ordinal);

    /// <summary>Changes whenever one of the files does.</summary>
    public string Version =>
        field ??= Convert.ToHexStringLower(
            SHA256.HashData(
                System.Text.Encoding.ASCII.GetBytes(
                    string.Concat(
                        _assets.OrderBy(a => a.Key, StringComparer.Ordinal).Select(a => a.Value.Tag)
                    )
                )
            )
        )[..12];

    public async Task InvokeAsync(HttpContext context, RequestDelegate next)
    {
        if (
            !(HttpMethods.IsGet(context.Request.Method) || HttpMethods.IsHead(context.Request.Method))
            || !_assets.TryGetValue(context.Request.Path.Value ?? "", out Asset? asset)
        )
        {
            await next(context);
            return;
        }

        context.Response.Headers.ETag = asset.Tag;
        context.Response.Headers.CacheControl = context.Request.Query.ContainsKey("v")
            ? "public, max-age=31536000, immutable"
            : "no-cache";
        if (context.Request.Headers.IfNoneMatch.Contains(asset.Tag, StringComparer.Ordinal))
        {
            context.Response.StatusCode = StatusCodes.Status304NotModified;
            return;
        }

        bool packed =
            asset.Packed.Length < asset.Content.Length
            && context.Request.Headers.AcceptEncoding.ToString().Contains("br", StringComparison.Ordinal);
        context.Response.ContentType = asset.MediaType;
        context.Response.Headers.Vary = HeaderNames.AcceptEncoding;
        if (packed)
        {
            context.Response.Headers.ContentEncoding = "br";
        }

        byte[] body = packed ? asset.Packed : asset.Content;
        context.Response.ContentLength = body.Length;
        if (HttpMethods.IsGet(context.Request.Method))
        {
            await context.Response.Body.WriteAsync(body, context.RequestAborted);
        }
    }

    /// <summary>The worker that keeps the quick log stands at the root, so that it may look after every page.</summary>
    private static string AddressOf(string resource) =>
        resource is $"{Prefix}worker.js" ? "/worker.js" : "/" + resource;

    private static Asset Read(string resource)
    {
        using Stream stream = typeof(AssetFiles).Assembly.GetManifestResourceStream(resource)!;
        using var content = new MemoryStream();
        stream.CopyTo(content);
        using var packed = new MemoryStream();
        using (var brotli = new BrotliStream(packed, CompressionLevel.Optimal, leaveOpen: true))
        {
            brotli.Write(content.ToArray());
        }

        return new Asset(
            content.ToArray(),
            packed.ToArray(),
            MediaTypes[Path.GetExtension(resource)],
            $"\"{Convert.ToHexStringLower(SHA256.HashData(content.ToArray()))[..16]}\""
        );
    }

    private sealed record Asset(byte[] Content, byte[] Packed, string MediaType, string Tag);
}
