using System.Xml.Linq;
using Microsoft.AspNetCore.DataProtection.Repositories;
using Npgsql;

namespace Rinsewright.Cluster;

/// <summary>Keeps the keys of cookies and forms where every machine finds them: what one sealed the next can open.</summary>
internal sealed class SharedKeys(string connection) : IXmlRepository
{
    public IReadOnlyCollection<XElement> GetAllElements()
    {
        using NpgsqlDataSource database = NpgsqlDataSource.Create(connection);
        using NpgsqlCommand command = database.CreateCommand("SELECT content FROM cluster_key ORDER BY name");
        using NpgsqlDataReader reader = command.ExecuteReader();
        List<XElement> keys = [];
        while (reader.Read())
        {
            keys.Add(XElement.Parse(reader.GetString(0)));
        }

        return keys;
    }

    public void StoreElement(XElement element, string friendlyName)
    {
        using NpgsqlDataSource database = NpgsqlDataSource.Create(connection);
        using NpgsqlCommand command = database.CreateCommand(
            "INSERT INTO cluster_key VALUES ($1, $2) ON CONFLICT (name) DO UPDATE SET content = excluded.content"
        );
        command.Parameters.AddWithValue(friendlyName);
        command.Parameters.AddWithValue(element.ToString(SaveOptions.DisableFormatting));
        command.ExecuteNonQuery();
    }
}
